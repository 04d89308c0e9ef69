// The uncertainty calculus against JCGM 100:2008, example H.1 (end-gauge calibration), and against scipy.
#include "math/uncertainty.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

namespace risetrace::math {
namespace {

constexpr double never_doubted = std::numeric_limits<double>::infinity();

// l = lS + d - lS (da theta + aS dt), in nm and degrees C. Values of the inputs as in H.1 (published); u(theta) and
// u(aS), which enter by the second order only, from memory.
struct EndGauge {
  double standard_nm = 50.000623e6;
  double difference_nm = 215;
  double expansion_apart = 0;      // da, per degree
  double temperature = -0.1;       // theta
  double expansion = 11.5e-6;      // aS, per degree
  double temperature_apart = 0.0;  // dt

  [[nodiscard]] double length_nm() const {
    return standard_nm + difference_nm - standard_nm * (expansion_apart * temperature + expansion * temperature_apart);
  }
};

const std::vector<double> us = {25, 9.7, 0.58e-6, 0.41, 1.2e-6, 0.029};

EndGauge moved(const std::vector<double>& by) {
  EndGauge g;
  g.standard_nm += by[0];
  g.difference_nm += by[1];
  g.expansion_apart += by[2];
  g.temperature += by[3];
  g.expansion += by[4];
  g.temperature_apart += by[5];
  return g;
}

double length_at(std::size_t i, double u_i, std::size_t j, double u_j) {
  std::vector<double> by(6, 0.0);
  by[i] += u_i;
  by[j] += u_j;
  return moved(by).length_nm();
}

Effects first_order() {
  Effects effects;
  for (std::size_t i = 0; i < us.size(); ++i) {
    effects.push_back((length_at(i, us[i], i, 0) - length_at(i, -us[i], i, 0)) / 2);
  }
  return effects;
}

TEST(EndGauge, LengthAndCombinedUncertainty) {
  EXPECT_NEAR(EndGauge{}.length_nm() * 1e-6, 50.000838, 5e-10);
  // H.1.4: the four contributions, nm.
  const Effects effects = first_order();
  EXPECT_NEAR(effects[0], 25, 1e-6);
  EXPECT_NEAR(effects[1], 9.7, 1e-6);
  EXPECT_NEAR(std::abs(effects[2]), 2.9, 0.05);
  EXPECT_NEAR(std::abs(effects[5]), 16.6, 0.1);
  EXPECT_NEAR(standard_u(effects), 32, 0.5);
}

TEST(EndGauge, SecondOrderTermsWidenIt) {
  std::vector<double> curvatures(36, 0.0);
  for (std::size_t i = 0; i < 6; ++i) {
    for (std::size_t j = 0; j < 6; ++j) {
      const double mixed = length_at(i, us[i], j, us[j]) - length_at(i, us[i], j, -us[j]) -
                           length_at(i, -us[i], j, us[j]) + length_at(i, -us[i], j, -us[j]);
      curvatures[i * 6 + j] = mixed / (4 * us[i] * us[j]);
    }
  }
  const double added = second_order_variance(curvatures, us);
  // H.1.7 (from memory): 11.7 nm and 1.7 nm, in all 34 nm.
  EXPECT_NEAR(std::sqrt(added), std::hypot(11.7, 1.7), 0.3);
  EXPECT_NEAR(std::hypot(standard_u(first_order()), std::sqrt(added)), 34, 0.5);
}

TEST(EndGauge, ExpandedUncertainty) {
  const double degrees = effective_degrees_of_freedom(first_order(), {18, 25.6, 50, never_doubted, never_doubted, 2});
  EXPECT_EQ(std::floor(degrees), 16);
  EXPECT_NEAR(coverage_factor(0.99, 16), 2.92, 0.005);
  EXPECT_NEAR(coverage_factor(0.99, std::floor(degrees)) * std::round(standard_u(first_order())), 93, 0.5);
}

// scipy 1.10: scipy.stats.t.ppf((1 + p) / 2, nu), norm.ppf(0.975); for 50 degrees 1 - betainc(25, 0.5, 50 / 54) gives
// the confidence, since ppf there is off by 3e-9.
TEST(CoverageFactor, AgreesWithScipy) {
  struct Row {
    double confidence;
    double degrees;
    double t;
  };
  for (const Row& row :
       {Row{.95, 1, 12.706204736432095}, Row{.95, 2, 4.302652729911275}, Row{.99, 16, 2.9207816223499967},
        Row{.95, 16.7, 2.1127064206594293}, Row{0.9490529312623068, 50, 2.0}, Row{.6827, 5.5, 1.099579032201872},
        Row{.95, 1e6, 1.9599663568141066}, Row{.95, never_doubted, 1.959963984540054}}) {
    EXPECT_NEAR(coverage_factor(row.confidence, row.degrees), row.t, 1e-9 * row.t) << row.degrees;
  }
}

}  // namespace
}  // namespace risetrace::math
