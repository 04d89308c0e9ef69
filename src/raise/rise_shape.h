// The instants and the height of one rise, read off the smoothed heights.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace risetrace::raise {

struct Height {
  double time_s = 0.0;
  double up_cm = 0.0;  // in the path's frame
  std::int64_t frame = 0;
  double across_cm = 0.0;
};

using Heights = std::vector<Height>;  // each later than the one before

// Index of the lowest in [from, to]; the earliest of equals. from <= to.
std::size_t lowest(const Heights& heights, std::size_t from, std::size_t to);

// The frame whose time is nearest; 0 where there is none.
std::int64_t frame_at(const Heights& heights, double time_s);

// The floor of a rise with its highest sample at `peak_at`: the lowest place since the peak before, or since the first
// sample. Before the first rep that may be a dip of the standing heel long ago: standing, where it is given, is its
// floor.
double floor_of_rise(const Heights& heights, std::size_t from, std::size_t peak_at,
                     const std::optional<double>& standing_cm);

// Greatest less least in the last `span_s` up to index `at`; empty history: infinity.
double range_cm(const Heights& heights, std::size_t at, double span_s);

struct Peak {
  double time_s = 0.0;
  double up_cm = 0.0;
};

// `at` is the highest sample of a rise from floor_cm. The top is what lies within 0.5 % of the rise of that sample
// without a break. The peak's time is the middle of the top, so that a held rise peaks half-way through its hold. Its
// height is the greatest of the parabola through the middle half of the top, at least three samples: noise lifts it
// less than the highest sample, and the shoulders of a held top do not bend it.
Peak peak_of(const Heights& heights, std::size_t at, double floor_cm);

// The last instant before the peak at which the height is under foot + onset x (peak - foot). The foot is the lowest
// place of the rise's own beginning: it is looked for as long before the rise has done 20 % as the rise takes from
// there to 80 %. A dip earlier in a pause at the bottom therefore moves nothing. `from`: the peak before, or the first
// sample.
double rise_start_s(const Heights& heights, std::size_t from, std::size_t peak_at, double peak_cm, double onset);

struct Landing {
  double time_s = 0.0;
  bool whole = false;  // the heel has been low for as long as the foot is looked for: more samples change nothing
};

// The same on the way down, read in the other direction of time. `to`: the last sample that belongs to it.
Landing landing_of(const Heights& heights, std::size_t peak_at, std::size_t to, double peak_cm, double onset);

}  // namespace risetrace::raise
