#include "math/circular.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <random>

namespace risetrace::math {
namespace {

constexpr double pi = 3.14159265358979323846;

double length_of(const std::vector<double>& angles_rad) { return mean_direction(angles_rad).length; }

TEST(Circular, KnownSets) {
  EXPECT_TRUE(std::isnan(length_of({})));
  EXPECT_DOUBLE_EQ(length_of({1.0}), 1);
  EXPECT_NEAR(length_of({0, pi}), 0, 1e-15);
  EXPECT_NEAR(length_of({0, pi / 2}), std::sqrt(0.5), 1e-15);
  EXPECT_NEAR(mean_direction({0, pi / 2}).direction_rad, pi / 4, 1e-15);
  // Across the turn of the circle the mean is not in the middle of the numbers.
  EXPECT_NEAR(std::abs(mean_direction({3.0, -3.0}).direction_rad), pi, 1e-15);
  // Evenly round the circle.
  for (int n = 2; n < 12; ++n) {
    std::vector<double> even(static_cast<std::size_t>(n));
    for (int i = 0; i < n; ++i) even[static_cast<std::size_t>(i)] = 2 * pi * i / n + 0.4;
    EXPECT_NEAR(length_of(even), 0, 1e-15);
  }
}

TEST(Circular, RayleighAtItsEnds) {
  EXPECT_EQ(rayleigh_p(1, 0), 1);
  EXPECT_EQ(rayleigh_p(1, 1), 1);
  // Two unit steps at the angle a: R = 2 cos(a / 2), a even over 0 .. pi.
  EXPECT_NEAR(rayleigh_p(std::sqrt(0.5), 2), 0.5, 1e-12);
  for (int n = 2; n < 60; ++n) {
    EXPECT_NEAR(rayleigh_p(0, n), 1, 1e-9) << n;
    EXPECT_NEAR(rayleigh_p(1, n), 0, n == 3 ? 3e-5 : 1e-6) << n;  // the slowest series
  }
}

// The lengths of directions drawn evenly: the share above a length is its p.
TEST(Circular, RayleighAgainstDraws) {
  std::mt19937_64 random(20);
  std::uniform_real_distribution<double> turn(0, 2 * pi);
  constexpr int draws = 40000;
  for (const int n : {3, 4, 5, 6, 8, 12, 20, 21, 40}) {
    const std::vector<double> lengths = {0.9 / std::sqrt(n), 1.2 / std::sqrt(n), 1.5 / std::sqrt(n)};
    std::vector<int> above(lengths.size(), 0);
    for (int draw = 0; draw < draws; ++draw) {
      std::vector<double> angles(static_cast<std::size_t>(n));
      for (double& angle : angles) angle = turn(random);
      const double length = length_of(angles);
      for (std::size_t i = 0; i < lengths.size(); ++i) above[i] += length >= lengths[i] ? 1 : 0;
    }
    for (std::size_t i = 0; i < lengths.size(); ++i) {
      const double p = rayleigh_p(lengths[i], n);
      const double sd = std::sqrt(p * (1 - p) / draws);
      EXPECT_NEAR(static_cast<double>(above[i]) / draws, p, 4 * sd) << n << " at " << lengths[i];
    }
  }
}

// Where the exact series hands over to the approximation nothing jumps.
TEST(Circular, RayleighIsSmoothOverN) {
  for (int i = 1; i < 40; ++i) {
    const double z = 0.2 * i;  // n length^2
    const auto p = [&](int n) { return rayleigh_p(std::sqrt(z / n), n); };
    const double usual = std::abs(p(20) - p(19)) + std::abs(p(22) - p(21));
    EXPECT_LT(std::abs(p(21) - p(20)), usual + 1.2e-4) << z;
  }
}

RC_GTEST_PROP(CircularLaws, TurningAllTurnsTheMean, ()) {
  const auto raw = *rc::gen::nonEmpty(rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 6283)));
  const double turned = *rc::gen::inRange(-9000, 9000) / 1000.0;
  std::vector<double> before;
  std::vector<double> after;
  for (const int angle : raw) {
    before.push_back(angle / 1000.0);
    after.push_back(angle / 1000.0 + turned + 2 * pi * (angle % 3));
  }
  const MeanDirection a = mean_direction(before);
  const MeanDirection b = mean_direction(after);
  RC_ASSERT(a.length >= 0 && a.length <= 1);
  RC_ASSERT(std::abs(a.length - b.length) < 1e-12);
  if (a.length > 1e-3) RC_ASSERT(std::cos(a.direction_rad + turned - b.direction_rad) > 1 - 1e-12);
}

RC_GTEST_PROP(CircularLaws, ALongerMeanIsLessLikelyByChance, ()) {
  const int n = *rc::gen::inRange(2, 40);
  const double shorter = *rc::gen::inRange(0, 1000) / 1000.0;
  const double longer = *rc::gen::inRange(0, 1000) / 1000.0;
  if (shorter > longer) return;
  RC_ASSERT(rayleigh_p(longer, n) <= rayleigh_p(shorter, n) + 3e-5);  // the series' own error
}

}  // namespace
}  // namespace risetrace::math
