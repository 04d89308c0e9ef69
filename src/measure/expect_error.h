// The error to expect of a measurement made with a set-up like this one.
#pragma once

#include "measure/setup.h"
#include "model/card.h"
#include "model/check_limits.h"

namespace risetrace::measure {

// From what was seen: the scale's own uncertainty, the sticker's noise, the camera's sway, the frame rate.
// `smooth_cutoff_hz`: of the height trace, which takes noise away (models/heel-raise.json).
ExpectedError expect_error(const Setup& setup, const model::Cards& cards, const model::CheckLimits& limits,
                           double smooth_cutoff_hz);

}  // namespace risetrace::measure
