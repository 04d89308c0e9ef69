// A picture of the lunge where it was held, so that a person can see that it is right.
#pragma once

#include <string>

#include "base/result.h"
#include "clip/read_clip.h"
#include "measure/measurement.h"

namespace risetrace::measure {

// Fills lunge_still with the whole picture half-way through the hold, made smaller. Reads the clip again from its
// beginning. Nothing is filled where there is no lunge.
Outcome add_lunge_still(Measurement& measurement, const std::string& path, const clip::ReadOptions& read);

}  // namespace risetrace::measure
