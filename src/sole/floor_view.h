// How well the edge between the standing shoe's sole and the floor can be seen.
#pragma once

#include <optional>

#include "clip/frame.h"

namespace risetrace::sole {

// Where the floor is, as far as the card and the heel's sticker tell it.
struct FloorPlace {
  Point below_heel_px;   // on the floor, straight below the heel's sticker; upright pixels
  Point along;           // the floor's direction to the right in the picture, per cm, upright pixels
  Point up;              // per cm, upright pixels
  double from_cm = 0.0;  // the stretch ahead of the heel that is looked at
  double to_cm = 0.0;
};

// Grey levels between what is just above the floor and what is just below it, the median along the stretch to one side
// of the heel (+1: right in the picture, -1: left). Empty where that stretch is not wholly in the picture.
std::optional<double> floor_contrast(const clip::GreyPicture& picture, const FloorPlace& place, int side);

}  // namespace risetrace::sole
