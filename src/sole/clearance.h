// How high the lowest part of the shoe was above the floor, seen against the still background under it.
#pragma once

#include <cstdint>
#include <vector>

#include "base/note.h"

namespace risetrace::sole {

struct ClearanceSample {
  std::int64_t frame = 0;
  double time_s = 0.0;    // the instant of the row where the sole is
  double up_px = 0.0;     // of the shoe's lowest point above where it rests; may be below zero in a soft floor
  double sigma_px = 0.0;  // standard deviation, from the fit
  bool seen = false;
};

struct Clearance {
  std::vector<ClearanceSample> samples;  // one a frame
  double floor_row_px = 0.0;             // upright row where the shoe rests
  Notes notes;
};

}  // namespace risetrace::sole
