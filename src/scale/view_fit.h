// Camera, sticker's plane and card fitted together to the card's corners in the picture.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "math/homography.h"
#include "model/card.h"
#include "scale/scale.h"
#include "scale/scale_of_plane.h"

namespace risetrace::scale {

struct ViewFit {
  math::Homography cm_from_px;           // of the sticker's plane; origin before the card's middle
  Point card_middle_px;                  // where that origin is in the picture
  std::array<Point, 4> card_outline_px;  // as Scale's
  double tilt_deg = 0.0;                 // between the card's normal and the camera's optical axis
  double distance_cm = 0.0;              // camera to the sticker's plane, along the line of sight
  double rms_px = 0.0;                   // of the corners about the fit
  std::vector<ScaleDoubt> doubts;        // one for each independent input
};

// Least squares on the corners and on what is known beforehand (models/cards.json, priors), all in one: the most likely
// view for normal errors. The sticker's plane is stood up in the scene, the camera may look at it aslant, and the card
// may be turned, leaned and stood off against it. What the corners show of a tilt is shared out between the camera and
// the card as their priors stand to each other; nothing in the picture can do better. Where it is more than the priors
// make likely, both are widened, so that the doubts grow with it. The doubts are the rows of that least squares: each
// corner coordinate and each prior is an independent input, and the solution's shift for one standard uncertainty of it
// is its column of (J'J)^-1 J' (JCGM 100:2008, 5.1.3). Lens distortion is not fitted, since a card that small shows
// nothing of it: its shift is the solution's for the prior's k1. Focal length: every other effect goes with the
// distance that follows from it, so its product with each of the others is taken to the second order (5.1.2, note).
// Empty where the corners do not span a plane.
std::optional<ViewFit> fit_view(const PlaneView& view, const model::Cards& cards);

}  // namespace risetrace::scale
