// A still of the clip with what `risetrace check` found drawn upon it, as PNG.
#pragma once

#include <string>

#include "base/result.h"
#include "clip/frame.h"
#include "measure/setup.h"

namespace risetrace::report {

// The card's outline, the sticker's ring, the verdict and what is wrong. Faults: cannot_write, defect.
Outcome write_check_picture(const std::string& path, const measure::Check& check);

// The frame as it is, upright, a pixel a pixel (an odd side becomes even). Faults: cannot_write, defect.
Outcome write_plain_picture(const std::string& path, const clip::Frame& frame);

}  // namespace risetrace::report
