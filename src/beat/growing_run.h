// A run of evenly spaced events while it grows from its first two, to be cut at its best end. Inside of beat/.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "beat/grid.h"

namespace risetrace::beat {

class GrowingRun {
 public:
  // `evidence`: what the two bring with them. `events` must outlive it.
  GrowingRun(const std::vector<Event>& events, std::size_t first, std::size_t second, double evidence)
      : events_(events), zero_s_(events[first].time_s), evidence_(evidence) {
    add({0, first});
    add({1, second});
    kept_ = 2;
  }

  // Where the straight line through the hits so far puts the next beat.
  [[nodiscard]] double next_s() const {
    const double period_s = (n_ * kt_ - k_ * t_) / (n_ * kk_ - k_ * k_);
    return zero_s_ + (t_ - period_s * k_) / n_ + period_s * beat_;
  }
  // The first event that may be the next hit.
  [[nodiscard]] std::size_t from_event() const { return grid_.hits.back().event + 1; }
  // Beats in a row without a hit.
  [[nodiscard]] int missing() const { return missing_; }

  void miss(double evidence) {
    evidence_ += evidence;
    ++missing_;
    ++beat_;
  }
  void hit(std::size_t event, double evidence) {
    evidence_ += evidence;
    missing_ = 0;
    add({beat_, event});
    if (evidence_ > grid_.evidence) {
      grid_.evidence = evidence_;
      kept_ = grid_.hits.size();
    }
  }
  // Hits and evidence up to the best end.
  [[nodiscard]] Grid best() && {
    grid_.hits.resize(kept_);
    return std::move(grid_);
  }

 private:
  void add(Hit hit) {
    const double time_s = events_[hit.event].time_s - zero_s_;
    n_ += 1;
    k_ += hit.beat;
    kk_ += static_cast<double>(hit.beat) * hit.beat;
    t_ += time_s;
    kt_ += hit.beat * time_s;
    grid_.hits.push_back(hit);
    beat_ = hit.beat + 1;
  }

  const std::vector<Event>& events_;
  Grid grid_;
  double zero_s_ = 0.0;
  double evidence_ = 0.0;
  std::size_t kept_ = 0;
  int missing_ = 0;
  int beat_ = 0;                                    // the next
  double n_ = 0, k_ = 0, kk_ = 0, t_ = 0, kt_ = 0;  // sums over the hits, for the line
};

}  // namespace risetrace::beat
