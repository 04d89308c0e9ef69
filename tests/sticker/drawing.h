// Small pictures with known truth, drawn by supersampling (16 x 16, a pixel and a lens each one pixel wide): not with
// the formulas of the fit.
#pragma once

#include <cmath>
#include <cstdint>
#include <memory>
#include <random>
#include <vector>

#include "clip/frame.h"

namespace risetrace::test {

struct Disc {
  Point centre_px;
  double outer_px = 10;
  double inner_px = 0;     // 0: no ring
  double disc_grey = 230;  // inside inner_px, or the whole disc
  double ring_grey = 30;
  double squeeze = 1.0;  // half axis along x / along y
};

struct Canvas {
  int width = 320;
  int height = 240;
  double grey = 120;
  double slope_x = 0;  // grey levels a pixel
  double slope_y = 0;
  double noise = 0;
  unsigned seed = 1;
};

inline double disc_grey_at(const Disc& d, double x, double y, double ground) {
  const double r = std::hypot((x - d.centre_px.x) / d.squeeze, y - d.centre_px.y);
  if (r > d.outer_px) return ground;
  if (d.inner_px <= 0 || r <= d.inner_px) return d.disc_grey;
  return d.ring_grey;
}

inline std::vector<std::uint8_t> draw(const Canvas& canvas, const std::vector<Disc>& discs) {
  std::mt19937 random(canvas.seed);
  std::normal_distribution<double> noise(0, canvas.noise > 0 ? canvas.noise : 1);
  std::vector<std::uint8_t> picture;
  for (int y = 0; y < canvas.height; ++y) {
    for (int x = 0; x < canvas.width; ++x) {
      const double ground = canvas.grey + canvas.slope_x * x + canvas.slope_y * y;
      double grey = ground;
      for (const Disc& d : discs) {
        if (std::hypot(x - d.centre_px.x, y - d.centre_px.y) > d.outer_px * std::max(1.0, d.squeeze) + 2) continue;
        double sum = 0;
        double weights = 0;
        for (int i = 0; i < 256; ++i) {
          const double dx = (i % 16 - 7.5) / 8;
          const double dy = (i / 16 - 7.5) / 8;  // NOLINT(bugprone-integer-division)
          const double weight = (1 - std::abs(dx)) * (1 - std::abs(dy));
          sum += weight * disc_grey_at(d, x + dx, y + dy, grey);
          weights += weight;
        }
        grey = sum / weights;
      }
      if (canvas.noise > 0) grey += noise(random);
      picture.push_back(static_cast<std::uint8_t>(std::lround(std::fmin(255, std::fmax(0, grey)))));
    }
  }
  return picture;
}

inline clip::Frame frame_of(const Canvas& canvas, const std::vector<Disc>& discs, std::int64_t number, double time_s) {
  auto owned = std::make_shared<std::vector<std::uint8_t>>(draw(canvas, discs));
  clip::Frame frame;
  frame.number = number;
  frame.time_s = time_s;
  frame.width_px = canvas.width;
  frame.height_px = canvas.height;
  frame.luma = {owned->data(), canvas.width, canvas.width, canvas.height};
  frame.owner = owned;
  return frame;
}

}  // namespace risetrace::test
