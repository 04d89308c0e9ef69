// The heel's whole path from what one clip gave.
#pragma once

#include "measure/measurement.h"

namespace risetrace::measure {

// The frame saw the sticker, and how the camera stood is known: a height can be read.
bool placed(const Measurement& measurement, const sticker::TrackSample& sample);

// `measurement` has its clip, scale (with cm_from_px) and track. noise_cm is left at 0.
path::Path heel_path(const Measurement& measurement, double cutoff_hz);

}  // namespace risetrace::measure
