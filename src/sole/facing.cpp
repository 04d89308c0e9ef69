#include "sole/facing.h"

#include <algorithm>
#include <cmath>

namespace risetrace::sole {

namespace {

// A dark picture's noise is gone in the mean of so many pixels a side, and a foot is far larger.
constexpr int block_px = 5;

float block_mean(const clip::Patch& patch, int x0, int y0) {
  float sum = 0;
  for (int y = y0; y < y0 + block_px; ++y) {
    for (int x = x0; x < x0 + block_px; ++x) sum += patch.at(x, y);
  }
  return sum / (block_px * block_px);
}

}  // namespace

std::optional<double> facing_of(const clip::Patch& standing, const clip::Patch& flying, double heel_x_px) {
  constexpr float changed_grey = 10;
  double ahead = 0;
  double all = 0;
  for (int y = 0; y + block_px <= std::min(standing.box.height, flying.box.height); y += block_px) {
    for (int x = 0; x + block_px <= std::min(standing.box.width, flying.box.width); x += block_px) {
      if (std::abs(block_mean(standing, x, y) - block_mean(flying, x, y)) < changed_grey) continue;
      all += 1;
      ahead += standing.box.x0 + x + block_px / 2 > heel_x_px ? 1 : 0;
    }
  }
  constexpr double clear = 0.6;
  if (all < 8) return std::nullopt;
  if (ahead > clear * all) return 1.0;
  if (ahead < (1 - clear) * all) return -1.0;
  return std::nullopt;
}

}  // namespace risetrace::sole
