#include "math/homography.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace risetrace::math {
namespace {

double unit(int thousandth) { return thousandth / 1000.0; }

RC_GTEST_PROP(FitHomography, GivesBackTheMapThatMadeThePoints, ()) {
  const auto element = [] { return unit(*rc::gen::inRange(-300, 301)); };
  Homography truth;
  truth.h = {14 + element(),  element(), 900 + 100 * element(), element(), -14 + element(), 500, element() / 300,
             element() / 300, 1};
  std::vector<Point> from;
  std::vector<Point> to;
  for (int i = 0; i < 9; ++i) {
    from.push_back({-7.0 + 7.0 * (i % 3), -7.0 + 7.0 * (i / 3)});
    to.push_back(truth.map(from.back()));
  }
  const auto fit = fit_homography(from, to);
  RC_ASSERT(fit.has_value());
  RC_ASSERT(fit->rms < 1e-7);
  const auto back = fit->map.inverse();
  RC_ASSERT(back.has_value());
  const Point there = back->map(truth.map({3.3, -2.1}));
  RC_ASSERT(std::hypot(there.x - 3.3, there.y + 2.1) < 1e-7);
}

TEST(FitHomography, RefusesPointsOnALine) {
  const std::vector<Point> line = {{0, 0}, {1, 1}, {2, 2}, {3, 3}};
  EXPECT_FALSE(fit_homography(line, line));
}

TEST(Homography, JacobianIsTheSlope) {
  const Homography map{{14, 0.2, 900, 0.1, -13, 500, 0.001, 0.002, 1}};
  const Point p{2, 3};
  const double step = 1e-6;
  const auto j = map.jacobian(p);
  const Point dx = map.map({p.x + step, p.y});
  const Point dy = map.map({p.x, p.y + step});
  const Point at = map.map(p);
  EXPECT_NEAR(j[0], (dx.x - at.x) / step, 1e-4);
  EXPECT_NEAR(j[1], (dy.x - at.x) / step, 1e-4);
  EXPECT_NEAR(j[2], (dx.y - at.y) / step, 1e-4);
  EXPECT_NEAR(j[3], (dy.y - at.y) / step, 1e-4);
}

}  // namespace
}  // namespace risetrace::math
