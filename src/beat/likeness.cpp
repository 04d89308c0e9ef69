#include "beat/likeness.h"

#include <algorithm>
#include <cmath>

#include "math/statistics.h"

namespace risetrace::beat {
namespace {

constexpr double least_spread_s = 0.0003, greatest_spread_s = 0.0013;
constexpr double least_level_spread_db = 1.5, greatest_level_spread_db = 4.0;
constexpr double accent_db = 4.0;
constexpr double most_unlike = 6.0;  // one click in some hundreds is unlike the others: a coder has eaten of it
constexpr double stray_share = 0.05, stray_spread_s = 0.001;  // clicks that a coder or another sound has moved
constexpr double of_median = 1.4826;  // a normal distribution's standard deviation over its median deviation

}  // namespace

Likeness likeness_of(const Grid& grid, const std::vector<Event>& events) {
  std::vector<double> offs_s;
  std::vector<double> levels_db;
  for (const Hit& hit : grid.hits) {
    offs_s.push_back(std::abs(events[hit.event].time_s - grid.at_s(hit.beat)));
    levels_db.push_back(events[hit.event].level_db);
  }
  return {std::clamp(of_median * math::median(offs_s), least_spread_s, greatest_spread_s), math::median(levels_db),
          std::clamp(math::robust_sd(levels_db), least_level_spread_db, greatest_level_spread_db)};
}

double weight_of(std::size_t event, double beat_s, const Likeness& like, const std::vector<Event>& events,
                 const Evidence& evidence) {
  const double unlike_db = std::max(0.0, std::abs(events[event].level_db - like.level_db) - accent_db);
  const double unlike = 0.5 * std::pow(unlike_db / like.level_spread_db, 2);
  const double off_s = events[event].time_s - beat_s;
  const double near = evidence.of_hit(event, off_s, like.spread_s);
  const double stray = std::log(stray_share) + evidence.of_hit(event, off_s, stray_spread_s);
  return std::max(evidence.of_miss(), std::max(near, stray) - std::min(unlike, most_unlike));
}

}  // namespace risetrace::beat
