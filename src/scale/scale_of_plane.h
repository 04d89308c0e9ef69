// From corners of a flat thing of known size to the Scale of its plane.
#pragma once

#include <optional>
#include <vector>

#include "base/geometry.h"
#include "model/card.h"
#include "scale/scale.h"

namespace risetrace::scale {

struct PlaneView {
  std::vector<Point> card_cm;  // card's frame: origin its middle, x right, y up
  std::vector<Point> px;       // the same points in upright pixels
  int picture_width_px = 0;
  int picture_height_px = 0;
  double card_offset_cm = 0.0;       // card behind the sticker's plane (+)
  std::optional<double> distance_m;  // camera to the sticker's plane, where stated
};

// Fits the plane's homography. Tilt and distance rest on a usual phone's field of view (models/cards.json), since one
// view of one plane does not give it. The scale's uncertainty joins the fit, the printer and the plane offset
// (JCGM 100:2008, 5.1.2). Empty where the points do not span a plane.
std::optional<Scale> scale_of_plane(const PlaneView& view, const model::Cards& cards);

}  // namespace risetrace::scale
