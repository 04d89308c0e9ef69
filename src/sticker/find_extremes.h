// Where a picture has something round and lighter, or darker, than what is around it: a first look.
//
// Extremes of a difference of Gaussians over scales (Lindeberg 1998, Int J Comput Vis 30:79; the ridge test on the
// Hessian after Lowe 2004, Int J Comput Vis 60:91).
#pragma once

#include <vector>

#include "base/geometry.h"
#include "clip/frame.h"

namespace risetrace::sticker {

struct Extreme {
  Point px;  // of the whole picture, to about a quarter of the radius
  double radius_px = 0.0;
  double response = 0.0;  // grey levels
};

// Small ones first, those of about one size by their response, the strongest first.
std::vector<Extreme> find_extremes(const clip::GreyPicture& picture, double greatest_radius_px);

}  // namespace risetrace::sticker
