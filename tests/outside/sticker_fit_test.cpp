// The sticker's fit against scipy.optimize.least_squares on the same pixels, and Eigen's Levenberg-Marquardt, as scale/
// uses it, against a certified fit.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <fstream>
#include <sstream>
#include <unsupported/Eigen/LevenbergMarquardt>
#include <unsupported/Eigen/NumericalDiff>
#include <vector>

#include "place.h"
#include "sticker/find_blobs.h"

namespace risetrace {
namespace {

struct Kept {
  Point truth_px;
  double radius_px = 0;
  double share = 0;
  Point scipy_px;
  clip::Patch picture{{0, 0, 64, 64}, {}};
};

// One a line of sticker_reference.csv; its first line says how it was made.
std::vector<Kept> kept_stickers() {
  std::ifstream file(test::source_folder() / "tests" / "outside" / "sticker_reference.csv");
  std::vector<Kept> all;
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    const auto next = [&] {
      std::string cell;
      std::getline(cells, cell, ',');
      return std::stod(cell);
    };
    Kept one;
    for (double* value :
         {&one.truth_px.x, &one.truth_px.y, &one.radius_px, &one.share, &one.scipy_px.x, &one.scipy_px.y}) {
      *value = next();
    }
    for (int i = 0; i < 64 * 64; ++i) one.picture.grey.push_back(static_cast<float>(next()));
    all.push_back(one);
  }
  return all;
}

// The two weigh the pixels differently (ours leaves out plain areas and doubts what misses the formula), so that noise
// of 4 grey levels moves them apart by a part of its own effect, 0.005 to 0.02 px.
TEST(OutsideStickerFit, AgreesWithScipysLeastSquares) {
  const std::vector<Kept> all = kept_stickers();
  ASSERT_EQ(all.size(), 6U);
  for (const Kept& one : all) {
    sticker::BlobOptions any_shape;
    any_shape.least_explained = 0.5;
    const auto about = sticker::fit_unknown_spot(one.picture, {31.5, 31.5}, one.share * one.radius_px, any_shape);
    ASSERT_TRUE(about) << "radius " << one.radius_px;
    const auto fit = sticker::place_sticker(one.picture, about->centre_px, about->look);
    ASSERT_TRUE(fit) << "radius " << one.radius_px;
    EXPECT_NEAR(fit->centre_px.x, one.scipy_px.x, 0.006) << "radius " << one.radius_px;
    EXPECT_NEAR(fit->centre_px.y, one.scipy_px.y, 0.006) << "radius " << one.radius_px;
    EXPECT_NEAR(fit->centre_px.x, one.truth_px.x, 4 * fit->sigma_px) << "radius " << one.radius_px;
    EXPECT_NEAR(fit->centre_px.y, one.truth_px.y, 4 * fit->sigma_px) << "radius " << one.radius_px;
  }
}

// NIST Statistical Reference Datasets, nonlinear regression, Misra1a: y = b1 (1 - exp(-b2 x)). Data and certified
// values from memory; scipy.optimize.curve_fit gives the same parameters to seven digits on them.
struct Misra1a : Eigen::DenseFunctor<double> {
  static constexpr std::array<double, 14> x = {77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                                               378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};
  static constexpr std::array<double, 14> y = {10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                                               44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
  Misra1a() : Eigen::DenseFunctor<double>(2, 14) {}
  int operator()(const Eigen::VectorXd& b, Eigen::VectorXd& out) const {
    for (Eigen::Index i = 0; i < 14; ++i) {
      const auto at = static_cast<std::size_t>(i);
      out(i) = y[at] - b(0) * (1 - std::exp(-b(1) * x[at]));
    }
    return 0;
  }
};

TEST(OutsideLeastSquares, ComesToTheCertifiedFitFromBothStarts) {
  for (const auto& start : {Eigen::Vector2d(500, 0.0001), Eigen::Vector2d(250, 0.0005)}) {
    const Misra1a misra;
    Eigen::NumericalDiff<Misra1a, Eigen::Central> slopes(misra);
    Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Misra1a, Eigen::Central>> solver(slopes);
    Eigen::VectorXd b = start;
    solver.minimize(b);
    EXPECT_NEAR(b(0) / 2.3894212918e+02, 1, 1e-6);
    EXPECT_NEAR(b(1) / 5.5015643181e-04, 1, 1e-6);
    Eigen::VectorXd left(14);
    misra(b, left);
    EXPECT_NEAR(left.squaredNorm() / 1.2455138894e-01, 1, 1e-8);
  }
}

}  // namespace
}  // namespace risetrace
