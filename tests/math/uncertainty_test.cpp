#include "math/uncertainty.h"

#include <gtest/gtest.h>

#include <cmath>

namespace risetrace::math {
namespace {

// Ten resistors in a row, each calibrated against one standard of u = 0.1 ohm: JCGM 100:2008, 5.2.2, example.
// Fully correlated, they add to 1 ohm; independent they would to 0.32.
TEST(Uncertainty, CommonErrorsAddLinearly) {
  Effects sum;
  Effects apart;
  for (std::size_t i = 0; i < 10; ++i) {
    sum = plus(sum, 1, {0.1});
    Effects own(10, 0.0);
    own[i] = 0.1;
    apart = plus(apart, 1, own);
  }
  EXPECT_NEAR(standard_u(sum), 1.0, 1e-12);
  EXPECT_NEAR(standard_u(apart), 0.316227766, 1e-9);
  EXPECT_NEAR(correlated_u(std::vector<double>(10, 1.0), std::vector<double>(100, 0.01)), 1.0, 1e-12);
}

TEST(Uncertainty, WhatIsCommonLeavesADifference) {
  const Effects left = {0.8, 0.1, 0.0};
  const Effects right = {0.7, 0.0, 0.1};
  const Effects difference = plus(left, -1, right);
  const double variance = covariance(left, left) + covariance(right, right) - 2 * covariance(left, right);
  EXPECT_NEAR(standard_u(difference), std::sqrt(variance), 1e-12);
  EXPECT_NEAR(correlated_u({1, -1}, {covariance(left, left), covariance(left, right), covariance(left, right),
                                     covariance(right, right)}),
              standard_u(difference), 1e-12);
  EXPECT_LT(standard_u(difference), 0.3 * standard_u(left));
}

}  // namespace
}  // namespace risetrace::math
