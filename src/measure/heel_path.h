// The heel's whole path from what one clip gave.
#pragma once

#include "measure/measurement.h"

namespace risetrace::measure {

// `measurement` has its clip, scale (with cm_from_px) and track. noise_cm is left at 0.
path::Path heel_path(const Measurement& measurement, double cutoff_hz);

}  // namespace risetrace::measure
