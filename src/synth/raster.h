// Pictures of linear light, and outlines filled into them with exact area coverage.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "base/geometry.h"

namespace risetrace::synth {

// Linear light of R, G and B, each a plane.
class LightPicture {
 public:
  LightPicture() = default;
  LightPicture(int width, int height);
  [[nodiscard]] int width() const { return width_; }
  [[nodiscard]] int height() const { return height_; }
  float* row(int plane, int y) { return planes_[static_cast<std::size_t>(plane)].data() + offset(y); }
  [[nodiscard]] const float* row(int plane, int y) const {
    return planes_[static_cast<std::size_t>(plane)].data() + offset(y);
  }

 private:
  [[nodiscard]] std::size_t offset(int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_);
  }
  int width_ = 0;
  int height_ = 0;
  std::array<std::vector<float>, 3> planes_;
};

// For each row of a picture, the columns from `low` up to but not including `high` that something touched.
struct RowSpan {
  int low = 1 << 30;
  int high = 0;

  [[nodiscard]] bool empty() const { return high <= low; }
  void take_in(int from, int to) {
    if (from < low) low = from;
    if (to > high) high = to;
  }
};
using RowSpans = std::vector<RowSpan>;

using LinearRgb = std::array<float, 3>;

// Light along a straight way in pixels, in even steps of which the nearest is taken; one step: plain.
struct PixelFill {
  std::vector<LinearRgb> ramp;
  double x_step = 0.0;  // of the ramp's index per pixel
  double y_step = 0.0;
  double at_origin = 0.0;  // the ramp's index at pixel (0, 0)
  float cover = 1.0F;
};

// Fills closed outlines. A pixel is the square of side 1 about its centre; its coverage is the exact area of the part
// inside the outline. Outlines added before one `fill` are one shape: shared sides leave no seam.
class Filler {
 public:
  Filler(int width, int height);

  void add(const std::vector<Point>& closed_px);
  // Blends the shape added so far into the picture and forgets it. `touched` (may be null) takes in what was drawn on.
  void fill(const PixelFill& fill, LightPicture& into, RowSpans* touched);

 private:
  void add_side(Point a, Point b);
  void add_side_inside(Point a, Point b);
  void add_in_row(int row, double y_share, double x_in, double x_out);

  int width_;
  int height_;
  int first_row_;
  int last_row_ = -1;
  std::vector<float> area_;  // per row: what each cell adds to the running coverage from the left
  RowSpans spans_;
  std::vector<float> cover_;
};

}  // namespace risetrace::synth
