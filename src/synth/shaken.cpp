#include "synth/shaken.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace risetrace::synth {
namespace {

// Weights of the four samples about a place `share` after the second of them.
std::array<float, 4> cubic(double share) {
  const double s = share;
  return {static_cast<float>(s * (-0.5 + s * (1.0 - 0.5 * s))), static_cast<float>(1.0 + s * s * (-2.5 + 1.5 * s)),
          static_cast<float>(s * (0.5 + s * (2.0 - 1.5 * s))), static_cast<float>(s * s * (-0.5 + 0.5 * s))};
}

void move_down(const LightPicture& still, int y, double by_px, LightPicture& into) {
  const double from = y - by_px;
  const int first = static_cast<int>(std::floor(from)) - 1;
  const std::array<float, 4> weight = cubic(from - std::floor(from));
  for (int plane = 0; plane < 3; ++plane) {
    std::array<const float*, 4> rows{};
    for (int k = 0; k < 4; ++k) {
      rows[static_cast<std::size_t>(k)] = still.row(plane, std::clamp(first + k, 0, still.height() - 1));
    }
    float* out = into.row(plane, y);
    for (int x = 0; x < still.width(); ++x) {
      out[x] = std::max(
          0.0F, weight[0] * rows[0][x] + weight[1] * rows[1][x] + weight[2] * rows[2][x] + weight[3] * rows[3][x]);
    }
  }
}

void move_right(const LightPicture& still, int y, double by_px, LightPicture& into) {
  const int whole = static_cast<int>(std::floor(-by_px));
  const std::array<float, 4> weight = cubic(-by_px - whole);
  for (int plane = 0; plane < 3; ++plane) {
    const float* in = still.row(plane, y);
    float* out = into.row(plane, y);
    for (int x = 0; x < still.width(); ++x) {
      float sum = 0.0F;
      for (int k = 0; k < 4; ++k) {
        sum += weight[static_cast<std::size_t>(k)] * in[std::clamp(x + whole + k - 1, 0, still.width() - 1)];
      }
      out[x] = std::max(0.0F, sum);
    }
  }
}

}  // namespace

void shake(const LightPicture& still, const View& view, double time_s, LightPicture& into) {
  const Point middle{(view.stored_width() - 1) / 2.0, (view.stored_height() - 1) / 2.0};
  const auto spot = view.sight_on_plane(middle, 0.0, before_all_s);
  for (int y = 0; y < still.height(); ++y) {
    const auto px = spot ? view.stored_px(*spot, time_s + view.row_delay_s(y)) : std::nullopt;
    const Point by = px ? Point{px->x - middle.x, px->y - middle.y} : Point{};
    if (std::abs(by.y) >= std::abs(by.x)) {
      move_down(still, y, by.y, into);
    } else {
      move_right(still, y, by.x, into);
    }
  }
}

}  // namespace risetrace::synth
