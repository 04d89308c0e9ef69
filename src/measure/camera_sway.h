// How much the camera moved while a clip was filmed.
#pragma once

#include <optional>

#include "base/geometry.h"
#include "camera/view.h"

namespace risetrace::measure {

// Standard deviation, up and down, of where `at` (upright pixels) of the frames comes to lie in the reference view.
// Empty where nothing showed how the camera stood, or did not for more than `most_unseen` (0 .. 1) of the frames.
std::optional<double> sway_px(const camera::CameraPath& camera, Point at, double most_unseen = 1.0);

}  // namespace risetrace::measure
