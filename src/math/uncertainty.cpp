#include "math/uncertainty.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace risetrace::math {
namespace {

// Continued fraction of the incomplete beta function, DLMF 8.17.22; converges fast for x < (a + 1) / (a + b + 2).
double beta_fraction(double x, double a, double b) {
  constexpr double tiny = 1e-300;
  constexpr int most_terms = 500;
  double c = 1;
  double d = 1 / std::max(std::abs(1 - (a + b) * x / (a + 1)), tiny);
  double value = d;
  for (int m = 1; m <= most_terms; ++m) {
    const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
    const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
    for (const double term : {even, odd}) {
      d = 1 / (1 + term * d);
      c = 1 + term / c;
      value *= c * d;
    }
    if (std::abs(c * d - 1) < 1e-15) break;
  }
  return value;
}

// I_x(a, b), DLMF 8.17.1.
double incomplete_beta(double x, double a, double b) {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  const double front =
      std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) + a * std::log(x) + b * std::log1p(-x));
  if (x < (a + 1) / (a + b + 2)) return front * beta_fraction(x, a, b) / a;
  return 1 - front * beta_fraction(1 - x, b, a) / b;
}

// Chance that |t| is at most `t`.
double held_within(double t, double degrees) {
  if (std::isinf(degrees)) return std::erf(t / std::sqrt(2.0));
  return 1 - incomplete_beta(degrees / (degrees + t * t), degrees / 2, 0.5);
}

}  // namespace

double standard_u(const Effects& effects) { return std::sqrt(covariance(effects, effects)); }

double covariance(const Effects& a, const Effects& b) {
  double sum = 0;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) sum += a[i] * b[i];
  return sum;
}

Effects plus(const Effects& effects, double factor, const Effects& more) {
  Effects out = effects;
  out.resize(std::max(effects.size(), more.size()), 0.0);
  for (std::size_t i = 0; i < more.size(); ++i) out[i] += factor * more[i];
  return out;
}

double correlated_u(const std::vector<double>& sensitivities, const std::vector<double>& covariances) {
  const std::size_t n = sensitivities.size();
  double variance = 0;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) variance += sensitivities[i] * sensitivities[j] * covariances.at(i * n + j);
  }
  return std::sqrt(variance);
}

double second_order_variance(const std::vector<double>& curvatures, const std::vector<double>& standard_us) {
  const std::size_t n = standard_us.size();
  double variance = 0;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      variance += std::pow(curvatures.at(i * n + j) * standard_us[i] * standard_us[j], 2) / 2;
    }
  }
  return variance;
}

double effective_degrees_of_freedom(const Effects& effects, const std::vector<double>& degrees_of_freedom) {
  double sum = 0;
  for (std::size_t i = 0; i < effects.size(); ++i) sum += std::pow(effects[i], 4) / degrees_of_freedom.at(i);
  if (sum == 0) return std::numeric_limits<double>::infinity();
  return std::pow(standard_u(effects), 4) / sum;
}

double coverage_factor(double confidence, double degrees_of_freedom) {
  double low = 0;
  double high = 1;
  while (held_within(high, degrees_of_freedom) < confidence && high < 1e12) high *= 2;
  for (int step = 0; step < 200 && high - low > 1e-14 * high; ++step) {
    const double middle = (low + high) / 2;
    (held_within(middle, degrees_of_freedom) < confidence ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace risetrace::math
