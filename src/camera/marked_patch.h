// A small square of a picture that is marked well enough to be found again to a fraction of a pixel.
#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include "base/geometry.h"
#include "clip/frame.h"

namespace risetrace::camera {

inline constexpr int patch_half = 10;  // whole pixels to either side of the middle one

struct MarkedPatch {
  Point centre_px;  // a whole pixel of the upright picture it was cut from
  std::vector<float> grey;
  std::vector<float> slope_x;  // grey levels a pixel
  std::vector<float> slope_y;
  double xx = 0.0;  // sums over the patch of the slopes' products
  double xy = 0.0;
  double yy = 0.0;

  // The slopes' squares summed over the patch in its weaker direction (the least eigenvalue): how surely it is found
  // again.
  [[nodiscard]] double weaker() const { return (xx + yy) / 2 - std::hypot((xx - yy) / 2, xy); }
};

// Mean squared slope in a patch's weaker direction, grey levels a pixel, squared. Ours: sure to be found again among
// all that a picture holds; and enough for a place that is known to be a corner.
inline constexpr double sure_strength = 60.0;
inline constexpr double corner_strength = 8.0;

// Empty where the patch does not lie inside the picture, or is a plain area or a straight edge: weaker than asked.
std::optional<MarkedPatch> marked_patch(const clip::GreyPicture& picture, int column, int row, double least_strength);

// The strongest corner of each cell of a grid of 9 x 6, so that no one thing has all the say; the strongest first, at
// most `most`. Nothing inside of `avoid`. (Least eigenvalue of the slopes' products, Shi & Tomasi 1994, Proc CVPR 593,
// from memory.)
std::vector<MarkedPatch> mark_picture(const clip::GreyPicture& picture, Box avoid, std::size_t most);

// Between pixels; at the patch's border its outermost pixels go on.
float bilinear(const clip::Patch& patch, double x_px, double y_px);

}  // namespace risetrace::camera
