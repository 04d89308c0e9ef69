// Which way the foot points in the picture.
#pragma once

#include <optional>

#include "clip/frame.h"

namespace risetrace::sole {

// From the same piece of picture with the foot on the ground and in the air: what changed between the two lies mostly
// ahead of the heel, where the rest of the foot is. +1: the toes are on the right, -1: on the left. Empty where about
// as much changed on either side.
std::optional<double> facing_of(const clip::Patch& standing, const clip::Patch& flying, double heel_x_px);

}  // namespace risetrace::sole
