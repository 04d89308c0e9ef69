#include "sole/steady_foot.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace risetrace::sole {
namespace {

// Ours: what rendered shoes that bend over their toe come to where they leave the ground fast.
constexpr double slack_cm = 0.85;
constexpr double most_bend_cm_s2 = 3200;
// One clip's shoe mostly stays far below that: nearly all of its samples tell what it does itself.
constexpr double nearly_all = 0.99;
constexpr double beyond_its_own = 1.7;
constexpr double least_share = 0.3;  // of the most a foot can do: so much is never held against a sample

struct Turn {
  std::size_t sample = 0;
  double time_s = 0.0;
  double below_px = 0.0;  // of the shoe's front below the heel, from any level
};

// How far the middle one lies from the line between the others, as a share of the most that a foot can do.
double out_of_line(const Turn& before, const Turn& here, const Turn& after, double px_per_cm) {
  const double since_s = here.time_s - before.time_s;
  const double until_s = after.time_s - here.time_s;
  if (!(since_s > 0) || !(until_s > 0)) return 0;
  const double line_px = before.below_px + (after.below_px - before.below_px) * since_s / (since_s + until_s);
  const double most_px = (slack_cm + most_bend_cm_s2 * since_s * until_s / 2) * px_per_cm;
  return std::abs(here.below_px - line_px) / most_px;
}

double most_of(std::vector<double> out) {
  if (out.empty()) return 1.0;
  const auto at = out.begin() + static_cast<std::ptrdiff_t>(nearly_all * static_cast<double>(out.size() - 1));
  std::nth_element(out.begin(), at, out.end());
  return std::clamp(beyond_its_own * *at, least_share, 1.0);
}

}  // namespace

void leave_out_leaps(std::vector<ClearanceSample>& samples, const std::vector<std::optional<double>>& heel_up_px,
                     double px_per_cm) {
  std::vector<Turn> turns;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i].seen && heel_up_px[i]) turns.push_back({i, samples[i].time_s, *heel_up_px[i] - samples[i].up_px});
  }
  std::vector<double> out(turns.size(), 0.0);
  const auto judge = [&](std::size_t i) {
    out[i] = i > 0 && i + 1 < turns.size() ? out_of_line(turns[i - 1], turns[i], turns[i + 1], px_per_cm) : 0;
  };
  for (std::size_t i = 0; i < turns.size(); ++i) judge(i);
  const double most = most_of(out);
  while (!out.empty()) {  // the worst first: it makes those beside it look bad
    const auto worst = static_cast<std::size_t>(std::max_element(out.begin(), out.end()) - out.begin());
    if (out[worst] <= most) return;
    samples[turns[worst].sample].seen = false;
    turns.erase(turns.begin() + static_cast<std::ptrdiff_t>(worst));
    out.erase(out.begin() + static_cast<std::ptrdiff_t>(worst));
    if (worst > 0) judge(worst - 1);
    if (worst < turns.size()) judge(worst);
  }
}

}  // namespace risetrace::sole
