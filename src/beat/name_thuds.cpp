#include "beat/name_thuds.h"

#include <algorithm>
#include <cmath>

#include "math/statistics.h"

namespace risetrace::beat {
namespace {

constexpr double click_before_s = 0.016;  // a click dies away in about that
constexpr double click_after_s = 0.003;
constexpr double usual_lag_s = 0.0015;  // of the lowest part, where no blow of the clip shows it
constexpr double usual_rise_s = 0.006;
constexpr std::size_t least_clear = 5;

bool click_near(double time_s, const std::vector<Click>& clicks) {
  const auto click = std::lower_bound(clicks.begin(), clicks.end(), time_s - click_before_s,
                                      [](const Click& each, double limit_s) { return each.time_s < limit_s; });
  return click != clicks.end() && click->time_s <= time_s + click_after_s;
}

}  // namespace

std::vector<Thud> thuds_of(const std::vector<LowOnset>& lows, const std::vector<Click>& clicks) {
  std::vector<double> lags_s;
  std::vector<double> rises_s;
  for (const LowOnset& low : lows) {
    if (click_near(low.low_s, clicks)) continue;
    lags_s.push_back(low.low_s - low.time_s);
    rises_s.push_back(low.rise_s);
  }
  const bool clear = lags_s.size() >= least_clear;
  const double lag_s = clear ? math::median(lags_s) : usual_lag_s;
  const double rise_s = clear ? math::median(rises_s) : usual_rise_s;
  std::vector<Thud> thuds;
  thuds.reserve(lows.size());
  for (const LowOnset& low : lows) {
    const double time_s = click_near(low.low_s, clicks) ? low.low_s - lag_s : low.time_s;
    thuds.push_back({time_s, low.strength_db, rise_s / std::sqrt(12.0)});
  }
  return thuds;
}

}  // namespace risetrace::beat
