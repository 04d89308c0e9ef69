// The piece of one frame in which the shoe meets the floor, kept until the hop it belongs to is whole. Inside of sole/.
#pragma once

#include <cstddef>
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
  float slope_x = 0.0F;  // of the surface that is read
  float slope_y = 0.0F;
  bool inside = false;
};

// Between pixels, bilinear; the place is counted from the box's first pixel.
template <typename Grey, typename Number>
inline Sampled sample_in(const Box& box, const Grey* grey, Number x, Number y) {
  if (!(x >= 0 && y >= 0 && x < static_cast<Number>(box.width - 1) && y < static_cast<Number>(box.height - 1)))
    return {};
  const int column = static_cast<int>(x);
  const int row = static_cast<int>(y);
  const auto right = static_cast<float>(x - static_cast<Number>(column));
  const auto down = static_cast<float>(y - static_cast<Number>(row));
  const Grey* top = grey + static_cast<std::ptrdiff_t>(row) * box.width + column;
  const Grey* low = top + box.width;
  const auto a = static_cast<float>(top[0]);
  const auto c = static_cast<float>(low[0]);
  const float top_step = static_cast<float>(top[1]) - a;
  const float low_step = static_cast<float>(low[1]) - c;
  const float above = a + right * top_step;
  const float below = c + right * low_step;
  return {above + down * (below - above), top_step + down * (low_step - top_step), below - above, true};
}

template <typename Grey>
inline Sampled sample(const Box& box, const std::vector<Grey>& grey, double x_px, double y_px) {
  return sample_in(box, grey.data(), x_px - box.x0, y_px - box.y0);
}

// `px` as the picture lay in the first frame: the camera's shake is taken out.
inline Sampled sample(const Strip& strip, double x_px, double y_px) {
  return sample(strip.box, strip.grey, x_px + strip.shift_px.x, y_px + strip.shift_px.y);
}

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

inline Sampled sample(const Plate& plate, double x_px, double y_px) {
  return sample(plate.box, plate.grey, x_px, y_px);
}

Plate blurred(const Plate& plate, int reach_px);

// The median of several strips, pixel by pixel, over `box`.
Plate median_plate(const std::vector<const Strip*>& strips, Box box);

}  // namespace risetrace::sole
