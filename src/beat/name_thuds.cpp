#include "beat/name_thuds.h"

#include <algorithm>
#include <cmath>

#include "math/statistics.h"

namespace risetrace::beat {
namespace {

constexpr double click_before_s = 0.016;  // a click dies away in about that
constexpr double click_after_s = 0.003;
constexpr double usual_lag_s = 0.0015;  // of the lowest part, where no blow of the clip shows it
constexpr double usual_u_s = 0.003;
// A band from 160 Hz up tells a beginning to a quarter of a period either way: 2 / (4 x 160 Hz) / sqrt 12.
constexpr double least_u_s = 0.0009;
constexpr std::size_t least_clear = 5;

bool click_near(double time_s, const std::vector<Click>& clicks) {
  const auto click = std::lower_bound(clicks.begin(), clicks.end(), time_s - click_before_s,
                                      [](const Click& each, double limit_s) { return each.time_s < limit_s; });
  return click != clicks.end() && click->time_s <= time_s + click_after_s;
}

}  // namespace

std::vector<Thud> thuds_of(const std::vector<LowOnset>& lows, const std::vector<Click>& clicks) {
  std::vector<double> lags_s;
  std::vector<double> us_s;
  for (const LowOnset& low : lows) {
    if (click_near(low.low_s, clicks)) continue;
    lags_s.push_back(low.low_s - low.time_s);
    us_s.push_back(std::hypot(low.rise_s / std::sqrt(12.0), low.soft_s / 2, least_u_s));
  }
  const bool clear = lags_s.size() >= least_clear;
  const double lag_s = clear ? math::median(lags_s) : usual_lag_s;
  const double u_s = clear ? math::median(us_s) : usual_u_s;
  std::vector<Thud> thuds;
  thuds.reserve(lows.size());
  for (const LowOnset& low : lows) {
    const double time_s = click_near(low.low_s, clicks) ? low.low_s - lag_s : low.time_s;
    thuds.push_back({time_s, low.strength_db, u_s});
  }
  return thuds;
}

}  // namespace risetrace::beat
