// From corners of a flat thing of known size to the Scale of its plane.
#pragma once

#include <optional>
#include <vector>

#include "base/geometry.h"
#include "model/card.h"
#include "scale/scale.h"

namespace risetrace::scale {

// A corner of a printed quad: where it is on the card and in the picture.
struct CornerSeen {
  Point card_cm;     // card's frame: origin its middle, x right, y up
  Point outward_cm;  // the direction in which it moves, per cm, when all edges of its quad move outwards: (+-1, +-1)
  Point px;          // upright pixels
};

struct PlaneView {
  std::vector<CornerSeen> corners;
  int picture_width_px = 0;
  int picture_height_px = 0;
  double card_offset_cm = 0.0;       // card behind the sticker's plane (+)
  std::optional<double> distance_m;  // camera to the sticker's plane, where stated
};

// The sticker's plane by view_fit.h, and what its scale is at the card's middle. Light spreads over dark in print, lens
// and display curve, so that every black square looks a little small: with two quads or more the common shift of their
// edges is fitted too and taken out; with one it cannot be told from the scale and goes into the uncertainty. Empty
// where the points do not span a plane.
std::optional<Scale> scale_of_plane(const PlaneView& view, const model::Cards& cards);

}  // namespace risetrace::scale
