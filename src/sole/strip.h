// The piece of one frame in which the shoe meets the floor, kept until the hop it belongs to is whole. Inside of sole/.
#pragma once

#include <cstdint>
#include <vector>

#include "base/geometry.h"
#include "clip/frame.h"

namespace risetrace::sole {

struct Strip {
  std::int64_t frame = 0;
  double time_s = 0.0;
  Box box;                         // of the upright picture
  std::vector<std::uint8_t> grey;  // row by row
  Point shift_px;                  // the still background has moved by this since the first frame
};

Strip strip_of(const clip::Frame& frame, Box box, Point shift_px);

// Each pixel the mean of the square of 2 * reach + 1 about it.
Strip blurred(const Strip& strip, int reach_px);

struct Sampled {
  float grey = 0.0F;
  bool inside = false;
};

// Between pixels, bilinear. `px` as the picture lay in the first frame: the camera's shake is taken out.
Sampled sample(const Strip& strip, double x_px, double y_px);

// An image of the still world over a box, in floats; NaN where it is not known.
struct Plate {
  Box box;
  std::vector<float> grey;

  [[nodiscard]] bool holds(int x, int y) const {
    return x >= box.x0 && y >= box.y0 && x < box.x0 + box.width && y < box.y0 + box.height;
  }
  [[nodiscard]] float at(int x, int y) const {
    return grey[static_cast<std::size_t>(y - box.y0) * static_cast<std::size_t>(box.width) +
                static_cast<std::size_t>(x - box.x0)];
  }
};

Sampled sample(const Plate& plate, double x_px, double y_px);

Plate blurred(const Plate& plate, int reach_px);

// The median of several strips, pixel by pixel, over `box`.
Plate median_plate(const std::vector<const Strip*>& strips, Box box);

}  // namespace risetrace::sole
