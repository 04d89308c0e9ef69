// The heel's height above standing, sample by sample, beside the tracked position: what the trace file, the plots and
// the overlay all draw from.
#pragma once

#include <optional>
#include <vector>

#include "base/geometry.h"
#include "measure/measurement.h"

namespace risetrace::report {

struct HeightSample {
  std::int64_t frame = 0;
  double time_s = 0.0;
  Point px;
  bool seen = false;
  double fit = 0.0;
  std::optional<double> height_cm;      // smoothed, above standing; empty without a scale
  std::optional<double> height_raw_cm;  // as measured in this frame; empty where it was bridged
  std::optional<double> across_cm;
  std::optional<int> rep;  // the rep that this instant lies in
};

// One a tracked frame, in order of time.
std::vector<HeightSample> height_samples(const measure::Measurement& measurement);

}  // namespace risetrace::report
