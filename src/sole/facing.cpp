#include "sole/facing.h"

#include <algorithm>
#include <cmath>

namespace risetrace::sole {

std::optional<double> facing_of(const clip::Patch& standing, const clip::Patch& flying, double heel_x_px) {
  constexpr float changed_grey = 12;
  double ahead = 0;
  double all = 0;
  for (int y = 0; y < std::min(standing.box.height, flying.box.height); ++y) {
    for (int x = 0; x < std::min(standing.box.width, flying.box.width); ++x) {
      if (std::abs(standing.at(x, y) - flying.at(x, y)) < changed_grey) continue;
      all += 1;
      ahead += standing.box.x0 + x > heel_x_px ? 1 : 0;
    }
  }
  constexpr double clear = 0.6;
  if (all < 50) return std::nullopt;
  if (ahead > clear * all) return 1.0;
  if (ahead < (1 - clear) * all) return -1.0;
  return std::nullopt;
}

}  // namespace risetrace::sole
