// How much likelier a hit or a miss is if a beat is there than if other sounds fall where they will.
//
// An event on the beat lies about it, normally distributed; other events fall anywhere, as many a second as there are
// of at least this strength about it (derived here).
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "beat/grid.h"

namespace risetrace::beat {

class Evidence {
 public:
  // Keeps a reference to `events`, which are in rising order of time. `heard_share`: of a beat's clicks that are
  // expected to be heard.
  Evidence(const std::vector<Event>& events, double heard_share);

  // Logarithm of how much likelier the event is as a hit, `off_s` from its beat, than as another event.
  [[nodiscard]] double of_hit(std::size_t event, double off_s, double spread_s) const;
  [[nodiscard]] double of_miss() const;

  // The likeliest hit of a beat at `time_s` among the events from `first` to `last`; empty where none is that near.
  struct Best {
    std::size_t event = 0;
    double evidence = 0.0;
  };
  [[nodiscard]] std::optional<Best> best_near(double time_s, double spread_s, double tolerance_s, std::size_t first,
                                              std::size_t last) const;

 private:
  const std::vector<Event>& events_;
  double heard_share_;
  std::vector<double> rates_hz_;
};

// Other events a second of at least nearly the strength of each event, at its densest of a long, a middle and a short
// look: speech comes in bursts.
std::vector<double> rates_hz(const std::vector<Event>& events);

}  // namespace risetrace::beat
