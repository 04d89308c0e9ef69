// Pictures of a patterned floor and a shoe on it, drawn by supersampling (4 x 4) from formulas, for tests of sole/.
// Pixels: the centre of the top left one at (0, 0), y down.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <memory>
#include <random>
#include <vector>

#include "clip/frame.h"
#include "sole/shoe_piece.h"
#include "sole/strip.h"

namespace risetrace::sole::test {

using World = std::function<double(double x, double y)>;  // grey levels

struct Film {
  int width = 400;
  int height = 240;
  double noise = 0;
  unsigned seed = 1;
};

inline clip::Frame frame_of(const World& world, const Film& film, std::int64_t number = 0, double time_s = 0) {
  std::mt19937 random(film.seed + static_cast<unsigned>(number));
  std::normal_distribution<double> normal(0, 1);
  auto owned = std::make_shared<std::vector<std::uint8_t>>();
  for (int y = 0; y < film.height; ++y) {
    for (int x = 0; x < film.width; ++x) {
      double sum = 0;
      for (int i = 0; i < 16; ++i) sum += world(x + (i % 4 - 1.5) / 4, y + (i / 4 - 1.5) / 4);  // NOLINT(*-division)
      const double grey = sum / 16 + film.noise * normal(random);
      owned->push_back(static_cast<std::uint8_t>(std::lround(std::clamp(grey, 0.0, 255.0))));
    }
  }
  clip::Frame frame;
  frame.number = number;
  frame.time_s = time_s;
  frame.width_px = film.width;
  frame.height_px = film.height;
  frame.luma = {owned->data(), film.width, film.width, film.height};
  frame.owner = owned;
  return frame;
}

inline Strip whole_strip(const clip::Frame& frame, Point shift_px = {}) {
  return strip_of(frame, {0, 0, frame.width_px, frame.height_px}, shift_px);
}

// Grey levels at random on a grid of `size_px`, smooth between: -1 .. 1.
inline double speckle(double x, double y, double size_px, unsigned seed) {
  const auto at = [&](int i, int j) {
    std::uint32_t h =
        seed * 2654435761U + static_cast<std::uint32_t>(i) * 374761393U + static_cast<std::uint32_t>(j) * 668265263U;
    h = (h ^ (h >> 13U)) * 1274126177U;
    return static_cast<double>((h ^ (h >> 16U)) & 0xffffU) / 32767.5 - 1;
  };
  const double u = std::floor(x / size_px);
  const double v = std::floor(y / size_px);
  const auto smooth = [](double t) { return t * t * (3 - 2 * t); };
  const double p = smooth(x / size_px - u);
  const double q = smooth(y / size_px - v);
  const int i = static_cast<int>(u);
  const int j = static_cast<int>(v);
  return (1 - q) * ((1 - p) * at(i, j) + p * at(i + 1, j)) + q * ((1 - p) * at(i, j + 1) + p * at(i + 1, j + 1));
}

inline double floor_grey(double x, double y) { return 120 + 25 * speckle(x, y, 9, 7); }

// A shoe 29 cm long at 8 px a cm that stands with its sole on row 200, the toes on the right: a patterned upper, a pale
// midsole and a dark outsole. Its front end curls up.
struct DrawnShoe {
  static constexpr double px_per_cm = 8;
  static constexpr double floor_row = 200;
  static constexpr Point heel_sticker{121, 152};

  Point pivot{};  // of the turn
  Pose pose{};

  static double bottom(double x) { return floor_row - std::pow(std::max(0.0, x - 290), 2) / 110; }
  static double top(double x) { return x < 200 ? 145 : 145 + 0.3 * (x - 200); }
  // In the standing shoe's own place; negative: not the shoe.
  static double grey(double x, double y) {
    if (x < 100 || x > 330 || y < top(x) || y > bottom(x)) return -1;
    if (y > bottom(x) - 5) return 45;
    if (y > bottom(x) - 14) return 205 + 8 * speckle(x, y, 5, 3);
    return 85 + 30 * speckle(x, y, 6, 5);
  }
  [[nodiscard]] Point own_place(double x, double y) const {
    const double c = std::cos(pose.turn_rad);
    const double s = std::sin(pose.turn_rad);
    const double dx = x - pivot.x - pose.right_px;
    const double dy = y - pivot.y - pose.down_px;
    return {pivot.x + c * dx + s * dy, pivot.y - s * dx + c * dy};
  }
  [[nodiscard]] double at(double x, double y) const {
    const Point p = own_place(x, y);
    return grey(p.x, p.y);
  }
};

// Shade on the floor in front of and under the shoe: full above its edge row, gone `soft_px` below it.
struct Shade {
  double darkness = 0.0;  // 0 .. 1 of the light taken away
  double to_row = 206;
  double soft_px = 1;

  [[nodiscard]] double light(double x, double y) const {
    if (darkness <= 0 || x < 95 || x > 335 || y < 185) return 1;
    return 1 - darkness * std::clamp((to_row + soft_px - y) / soft_px, 0.0, 1.0);
  }
};

inline World shoe_world(const DrawnShoe& shoe, const Shade& shade) {
  return [=](double x, double y) {
    const double grey = shoe.at(x, y);
    return grey >= 0 ? grey : floor_grey(x, y) * shade.light(x, y);
  };
}
inline World empty_world() { return floor_grey; }

inline Plate plate_of(const World& world, const Film& film) {
  const Strip strip = whole_strip(frame_of(world, film));
  return median_plate({&strip}, strip.box);
}

}  // namespace risetrace::sole::test
