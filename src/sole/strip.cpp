#include "sole/strip.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace risetrace::sole {
namespace {

template <typename Grey>
Sampled bilinear(const Box& box, const std::vector<Grey>& grey, double x_px, double y_px) {
  const double x = x_px - box.x0;
  const double y = y_px - box.y0;
  if (!(x >= 0 && y >= 0 && x < box.width - 1 && y < box.height - 1)) return {};
  const int column = static_cast<int>(x);
  const int row = static_cast<int>(y);
  const auto right = static_cast<float>(x - column);
  const auto down = static_cast<float>(y - row);
  const Grey* top = grey.data() + static_cast<std::ptrdiff_t>(row) * box.width + column;
  const Grey* low = top + box.width;
  const float above = static_cast<float>(top[0]) + right * (static_cast<float>(top[1]) - static_cast<float>(top[0]));
  const float below = static_cast<float>(low[0]) + right * (static_cast<float>(low[1]) - static_cast<float>(low[0]));
  return {above + down * (below - above), true};
}

}  // namespace

Strip strip_of(const clip::Frame& frame, Box box, Point shift_px) {
  const clip::Patch patch = clip::upright_patch(frame, box);
  Strip strip{frame.number, frame.time_s, patch.box, {}, shift_px};
  strip.grey.reserve(patch.grey.size());
  for (const float grey : patch.grey) {
    strip.grey.push_back(static_cast<std::uint8_t>(std::clamp(grey + 0.5F, 0.0F, 255.0F)));
  }
  return strip;
}

Sampled sample(const Strip& strip, double x_px, double y_px) {
  return bilinear(strip.box, strip.grey, x_px + strip.shift_px.x, y_px + strip.shift_px.y);
}

Sampled sample(const Plate& plate, double x_px, double y_px) { return bilinear(plate.box, plate.grey, x_px, y_px); }

Plate median_plate(const std::vector<const Strip*>& strips, Box box) {
  Plate plate{box, {}};
  plate.grey.reserve(static_cast<std::size_t>(box.width) * static_cast<std::size_t>(box.height));
  std::vector<float> values;
  for (int y = box.y0; y < box.y0 + box.height; ++y) {
    for (int x = box.x0; x < box.x0 + box.width; ++x) {
      values.clear();
      for (const Strip* strip : strips) {
        const Sampled s = sample(*strip, x, y);
        if (s.inside) values.push_back(s.grey);
      }
      const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
      std::nth_element(values.begin(), middle, values.end());
      plate.grey.push_back(values.empty() ? std::numeric_limits<float>::quiet_NaN() : *middle);
    }
  }
  return plate;
}

}  // namespace risetrace::sole
