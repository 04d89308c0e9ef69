// The heel's way in centimetres over seconds.
#pragma once

#include <cstdint>
#include <vector>

namespace risetrace::path {

struct PathSample {
  std::int64_t frame = 0;
  double time_s = 0.0;
  double up_cm = 0.0;      // smoothed; the card's upright axis, zero where the card's middle is
  double up_raw_cm = 0.0;  // as measured in this frame
  double across_cm = 0.0;  // as measured, along the card's level axis, right positive
  bool seen = false;       // false: bridged between frames that saw the sticker
};

struct Path {
  std::vector<PathSample> samples;
  double noise_cm = 0.0;  // standard deviation of one unsmoothed height
};

}  // namespace risetrace::path
