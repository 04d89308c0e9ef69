#include "math/circular.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace risetrace::math {
namespace {

using std::numbers::pi;
constexpr int greatest_exact_n = 20;

// ::j0 and ::j1 are POSIX's Bessel functions; std::cyl_bessel_j takes a hundred times as long at large arguments.

// The k-th positive zero of J0: McMahon's expansion (Abramowitz & Stegun 9.5.12, from memory), polished once.
double zero_of_j0(int k) {
  const double b = (k - 0.25) * pi;
  double zero = b + 1 / (8 * b) - 124 / (3 * std::pow(8 * b, 3));
  for (int i = 0; i < 2; ++i) zero += ::j0(zero) / ::j1(zero);
  return zero;
}

// P(R >= walked) after n unit steps. The density f of the end point on the plane has the transform J0(k)^n and is zero
// beyond n, so f = sum_k J0(z_k/n)^n J0(z_k r/n) / (pi n^2 J1(z_k)^2), z_k the zeros of J0; integrated over the disc.
double walks_at_least(double walked, int n) {
  const int terms = n <= 4 ? 6000 : 600;  // they fall as k^-(n+1)/2
  double inside = 0;
  for (int k = 1; k <= terms; ++k) {
    const double zero = zero_of_j0(k);
    const double at_zero = ::j1(zero);
    inside += std::pow(::j0(zero / n), n) * ::j1(zero * walked / n) / (zero * at_zero * at_zero);
  }
  return 1 - 2 * walked / n * inside;
}

}  // namespace

MeanDirection mean_direction(const std::vector<double>& angles_rad) {
  if (angles_rad.empty()) {
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    return {none, none};
  }
  double x = 0;
  double y = 0;
  for (const double angle : angles_rad) {
    x += std::cos(angle);
    y += std::sin(angle);
  }
  const auto n = static_cast<double>(angles_rad.size());
  return {std::min(1.0, std::hypot(x, y) / n), std::atan2(y, x)};
}

double rayleigh_p(double length, int n) {
  if (n < 2) return 1;
  const double walked = n * std::clamp(length, 0.0, 1.0);
  if (n == 2) return 2 / pi * std::acos(walked / 2);
  if (n <= greatest_exact_n) return std::clamp(walks_at_least(walked, n), 0.0, 1.0);
  const double squares = static_cast<double>(n) * n - walked * walked;
  return std::clamp(std::exp(std::sqrt(1 + 4.0 * n + 4 * squares) - (1 + 2.0 * n)), 0.0, 1.0);
}

}  // namespace risetrace::math
