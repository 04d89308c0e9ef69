#include "sticker/scatter.h"

#include <cmath>

#include "math/statistics.h"

namespace risetrace::sticker {

double scatter_px(const std::vector<TrackSample>& samples) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    if (samples[i].seen && std::abs(samples[i].px.y - samples.front().px.y) > moved_px) break;
    const double step = samples[i].px.y - samples[i - 1].px.y;
    if (samples[i].seen && samples[i - 1].seen && step != 0) steps.push_back(step);
  }
  constexpr std::size_t enough = 8;
  return steps.size() < enough ? 0 : math::robust_sd(steps) / std::sqrt(2.0);
}

}  // namespace risetrace::sticker
