#include "clip/steps.h"

#include <algorithm>
#include <cmath>

namespace risetrace::clip {
namespace {

double order_value(std::vector<double>& values, double share) {
  const auto at = static_cast<std::ptrdiff_t>(std::lround(share * static_cast<double>(values.size() - 1)));
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

double usual_step(std::vector<double> steps) {
  const double median = order_value(steps, 0.5);
  double sum = 0.0;
  std::int64_t count = 0;
  for (const double step : steps) {
    if (std::abs(step - median) > 1.0) continue;
    sum += step;
    ++count;
  }
  return sum / static_cast<double>(count);
}

}  // namespace

std::int64_t missing_in(double step, double usual_step) {
  constexpr double rounding_ticks = 0.5;
  if (usual_step <= 0.0 || step <= 1.5 * usual_step + rounding_ticks) return 0;
  constexpr double most = 1e9;  // a time gone wild in a damaged file
  return std::llround(std::min(step / usual_step, most)) - 1;
}

StepFacts study_steps(const std::vector<std::int64_t>& ticks) {
  StepFacts facts;
  if (ticks.size() < 2) return facts;
  std::vector<double> steps;
  steps.reserve(ticks.size() - 1);
  for (std::size_t i = 1; i < ticks.size(); ++i) {
    steps.push_back(static_cast<double>(ticks[i]) - static_cast<double>(ticks[i - 1]));
  }
  facts.step_ticks = usual_step(steps);
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const std::int64_t missing = missing_in(steps[i], facts.step_ticks);
    if (missing > 0 && facts.first_gap_at < 0) facts.first_gap_at = static_cast<std::int64_t>(i);
    facts.frames_missing += missing;
  }
  const double low = order_value(steps, 0.05);
  const double high = order_value(steps, 0.95);
  facts.uneven = (high - low) / 2.0 > 0.02 * facts.step_ticks + 1.0;
  return facts;
}

}  // namespace risetrace::clip
