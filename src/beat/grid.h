// Events, and evenly spaced ones among them.
#pragma once

#include <cstddef>
#include <vector>

namespace risetrace::beat {

struct Event {
  double time_s = 0.0;
  double strength_db = 0.0;  // over what was there before it
  double level_db = 0.0;     // its own power; clicks of one beat are alike in it, landings are not
};

struct Hit {
  int beat = 0;           // k
  std::size_t event = 0;  // index into the events given
};

// beat k, 0 .. beats - 1, at offset_s + k x period_s. The first and the last beat are hits.
struct Grid {
  double offset_s = 0.0;
  double period_s = 0.0;
  double period_s_u = 0.0;  // standard uncertainty
  double residual_s = 0.0;  // standard deviation of the hits about their beats
  double bow_s = 0.0;       // how far the hits bow from even spacing over the whole: half-way deviation of a parabola
  double bow_s_u = 0.0;
  int beats = 0;
  double evidence = 0.0;
  std::vector<Hit> hits;
  [[nodiscard]] double at_s(double beat) const { return offset_s + beat * period_s; }
  [[nodiscard]] double last_s() const { return at_s(beats - 1); }
};

}  // namespace risetrace::beat
