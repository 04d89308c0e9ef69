// What turns upright pixels into centimetres in the plane of the card.
#pragma once

#include <optional>

#include "base/geometry.h"
#include "base/note.h"
#include "math/homography.h"

namespace risetrace::scale {

enum class ScaleFrom { tags, id_1, given, none };

struct Scale {
  ScaleFrom from = ScaleFrom::none;
  // Upright pixels (x right, y down) -> the card's plane in cm: x right, y UP along the card's upright edge, origin the
  // card's middle. For `given`: x right, y up of the picture, origin the picture's middle. For `none` it is unset.
  std::optional<math::Homography> cm_from_px;
  std::optional<double> px_per_cm;  // at the card's middle, root of the area ratio
  std::optional<double> px_per_cm_u;
  std::optional<double> tilt_deg;    // between the card's normal and the line of sight
  std::optional<double> fit_rms_px;  // of the card's corners about the fitted plane
  std::optional<double> distance_m;  // camera to card, from a usual phone's field of view unless given
  // Standard uncertainty of the plane's perspective: the scale's relative error grows by this for each cm away from the
  // card's middle.
  std::optional<double> perspective_u_per_cm;
  Notes notes;
};

}  // namespace risetrace::scale
