#include "raise/standing.h"

#include <vector>

#include "math/statistics.h"

namespace risetrace::raise {
namespace {

constexpr double still_s = 0.3;
constexpr double still_of_least_rise = 0.2;  // 1 cm/s for a least rise of 1.5 cm: sway passes, a rise does not
constexpr double looked_back_s = 5.0;

}  // namespace

std::optional<double> standing_from_stillness(const Heights& heights, std::size_t risen, double least_rise_cm) {
  const double highest_cm = heights[lowest(heights, 0, risen)].up_cm + least_rise_cm;
  const double since_s = heights[risen].time_s - looked_back_s;
  std::vector<bool> still(risen + 1, false);
  for (std::size_t i = 0; i <= risen; ++i) {
    if (heights[i].time_s < since_s || range_cm(heights, i, still_s) > still_of_least_rise * least_rise_cm) continue;
    const double from_s = heights[i].time_s - still_s - 1e-9;
    for (std::size_t j = i + 1; j-- > 0 && heights[j].time_s >= from_s;) still[j] = true;
  }
  std::vector<double> levels;
  for (std::size_t i = 0; i <= risen; ++i) {
    if (still[i] && heights[i].up_cm <= highest_cm) levels.push_back(heights[i].up_cm);
  }
  if (levels.empty()) return std::nullopt;
  return math::median(levels);
}

}  // namespace risetrace::raise
