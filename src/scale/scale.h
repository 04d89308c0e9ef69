// What turns upright pixels into centimetres in the plane of the sticker.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "base/geometry.h"
#include "base/note.h"
#include "math/homography.h"

namespace risetrace::scale {

enum class ScaleFrom { tags, id_1, given, none };

// What the scale of a card rests on.
enum class DoubtFrom {
  fit,           // the corners as seen in the picture
  print,         // the printer's size
  plane_offset,  // how far the card stands out of the sticker's plane
  card_stance,   // how the card is turned, leaned and rolled against that plane
  view,          // how aslant the camera looks at it
  focal_length,
  distortion,
  pointing  // where two points a known length apart were pointed out
};

// The map as it would be were one input off by one standard uncertainty. The inputs are independent of each other.
struct ScaleDoubt {
  DoubtFrom from = DoubtFrom::fit;
  math::Homography cm_from_px;  // of pixels freed from distortion
  Point centre_px;              // of the distortion r (1 + k1 r^2), r from there in focal lengths
  double focal_px = 1.0;
  double k1 = 0.0;

  [[nodiscard]] Point map(Point px) const;
};

struct Scale {
  ScaleFrom from = ScaleFrom::none;
  // Upright pixels (x right, y down) of the reference view -> the sticker's plane in cm: x right, y UP along the card's
  // upright edge but for the half degree of its roll, origin straight before (or behind) the card's middle, along the
  // plane's normal. For `given`: x right, y up of the picture, origin the picture's middle. For `none` it is unset.
  std::optional<math::Homography> cm_from_px;
  std::optional<double> px_per_cm;  // of that plane, where the card's middle is in the picture, root of the area ratio
  std::optional<double> px_per_cm_u;
  std::optional<double> tilt_deg;    // between the card's normal and the camera's optical axis
  std::optional<double> fit_rms_px;  // of the card's corners about the fitted view
  std::optional<double> distance_m;  // camera to the sticker's plane, from a usual phone's field of view unless given
  // Of the whole card where it stands, upright pixels: top left, top right, bottom right, bottom left; empty without
  // one.
  std::optional<std::array<Point, 4>> card_outline_px;
  std::vector<ScaleDoubt> doubts;  // empty for `none`, and for `given` unless its u is stated
  Notes notes;
};

}  // namespace risetrace::scale
