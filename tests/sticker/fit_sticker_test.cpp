#include "sticker/fit_sticker.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "sticker/drawing.h"
#include "sticker/find_blobs.h"

namespace risetrace::sticker {
namespace {

std::optional<Fit> fitted(const test::Canvas& canvas, const test::Disc& disc, Point start_px) {
  const clip::Frame frame = test::frame_of(canvas, {disc}, 0, 0);
  Look look;
  look.outer_radius_px = 1.6 * disc.outer_px;
  return fit_unknown_spot(clip::upright_patch(frame, fit_box(start_px, look)), start_px,
                          disc.inner_px > 0 ? disc.inner_px : disc.outer_px, {});
}

RC_GTEST_PROP(FitSticker, FindsTheCentreOfEveryKindOnASlopingGround, ()) {
  const double radius = *rc::gen::inRange(30, 300) / 10.0;
  const bool ringed = radius > 6 && *rc::gen::arbitrary<bool>();
  const bool white = *rc::gen::arbitrary<bool>();
  test::Canvas canvas;
  canvas.slope_x = *rc::gen::inRange(-20, 21) / 100.0;
  canvas.slope_y = *rc::gen::inRange(-20, 21) / 100.0;
  canvas.noise = 2;
  canvas.seed = *rc::gen::arbitrary<unsigned>();
  test::Disc disc;
  disc.centre_px = {160 + *rc::gen::inRange(-500, 501) / 1000.0, 120 + *rc::gen::inRange(-500, 501) / 1000.0};
  disc.outer_px = radius;
  disc.inner_px = ringed ? 0.65 * radius : 0;
  disc.disc_grey = white ? 230 : 25;
  disc.ring_grey = white ? 25 : 230;
  const auto fit = fitted(canvas, disc, {160, 120});
  RC_ASSERT(fit.has_value());
  RC_LOG() << "radius " << radius << " off " << fit->centre_px.x - disc.centre_px.x << " "
           << fit->centre_px.y - disc.centre_px.y << " explained " << fit->explained << "\n";
  RC_ASSERT(std::hypot(fit->centre_px.x - disc.centre_px.x, fit->centre_px.y - disc.centre_px.y) < 0.12);
  RC_ASSERT(std::abs(fit->look.outer_radius_px - radius) < 0.12 * radius + 0.2);
}

TEST(FitSticker, NoiseAloneGivesTheScatterThatItClaims) {
  std::vector<double> off;
  double claimed = 0;
  for (unsigned seed = 1; seed <= 60; ++seed) {
    test::Canvas canvas;
    canvas.noise = 5;
    canvas.seed = seed;
    test::Disc disc;
    disc.centre_px = {160.3, 119.6};
    disc.outer_px = 9;
    disc.inner_px = 6;
    const auto fit = fitted(canvas, disc, {160, 120});
    ASSERT_TRUE(fit);
    off.push_back(fit->centre_px.x - disc.centre_px.x);
    claimed += fit->sigma_px / 60;
  }
  double mean = 0;
  for (const double x : off) mean += x / static_cast<double>(off.size());
  double squares = 0;
  for (const double x : off) squares += (x - mean) * (x - mean) / static_cast<double>(off.size() - 1);
  const double scatter = std::sqrt(squares);
  // 60 samples know a standard deviation to 9 %.
  EXPECT_LT(scatter, 1.3 * claimed);
  EXPECT_GT(scatter, 0.7 * claimed);
  EXPECT_LT(std::abs(mean), 0.02);
}

TEST(FitSticker, SeenFromTheSideItIsAnEllipseWithTheSameCentre) {
  test::Disc disc;
  disc.centre_px = {160.25, 120.4};
  disc.outer_px = 12;
  disc.inner_px = 8;
  disc.squeeze = 0.7;
  const auto fit = fitted({}, disc, {160, 120});
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->centre_px.x, disc.centre_px.x, 0.05);
  EXPECT_NEAR(fit->centre_px.y, disc.centre_px.y, 0.05);
  EXPECT_NEAR(fit->look.roundness(), 0.7, 0.05);
}

// A frame exposed while the sticker goes 7 px, on light that falls off: the mean of what it shows at 28 instants.
TEST(FitSticker, ASmearIsPlacedInTheMiddleOfItsWay) {
  const Point middle{160.3, 119.6};
  const Point way{3, 6.3};
  constexpr int instants = 28;
  test::Canvas canvas;
  canvas.slope_x = 0.3;
  clip::Patch smear{{110, 70, 100, 100}, std::vector<float>(100 * 100, 0.0F)};
  for (int k = 0; k < instants; ++k) {
    const double share = (k + 0.5) / instants - 0.5;
    test::Disc disc;
    disc.centre_px = {middle.x + share * way.x, middle.y + share * way.y};
    disc.outer_px = 9;
    disc.inner_px = 6;
    const clip::Patch shown = clip::upright_patch(test::frame_of(canvas, {disc}, 0, 0), smear.box);
    for (std::size_t i = 0; i < shown.grey.size(); ++i) smear.grey[i] += shown.grey[i] / instants;
  }
  Look look;
  look.ringed = true;
  look.outer_radius_px = 9;
  look.inner_share = 6.0 / 9;
  look.disc_step = 200;
  look.ring_step = -90;
  look.motion_px = {2, 5};
  const auto fit = place_sticker(smear, {159.5, 120.5}, look);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->centre_px.x, middle.x, 0.02);
  EXPECT_NEAR(fit->centre_px.y, middle.y, 0.02);
  EXPECT_NEAR(fit->look.motion_px.x, way.x, 0.3);
  EXPECT_NEAR(fit->look.motion_px.y, way.y, 0.3);
}

TEST(FitSticker, FlatGroundHoldsNoSticker) {
  test::Canvas canvas;
  canvas.noise = 4;
  const clip::Frame frame = test::frame_of(canvas, {}, 0, 0);
  Look look;
  look.outer_radius_px = 10;
  EXPECT_FALSE(fit_unknown_spot(clip::upright_patch(frame, fit_box({160, 120}, look)), {160, 120}, 8, {}));
}

TEST(FindBlobs, FindsEachDiscOnceAndNothingElse) {
  test::Canvas canvas;
  canvas.width = 640;
  canvas.height = 480;
  canvas.noise = 3;
  std::vector<test::Disc> discs;
  for (const double radius : {3.2, 5.0, 9.0, 15.0, 24.0, 36.0}) {
    test::Disc disc;
    disc.centre_px = {60.0 + 100 * static_cast<double>(discs.size()), 200.0};
    disc.outer_px = radius;
    disc.inner_px = radius > 6 ? 0.65 * radius : 0;
    discs.push_back(disc);
  }
  const clip::Frame frame = test::frame_of(canvas, discs, 0, 0);
  const auto blobs = find_blobs(clip::upright_picture(frame), {});
  for (const test::Disc& disc : discs) {
    int hits = 0;
    for (const Fit& blob : blobs) {
      if (std::hypot(blob.centre_px.x - disc.centre_px.x, blob.centre_px.y - disc.centre_px.y) < 0.3) ++hits;
    }
    EXPECT_EQ(hits, 1) << "radius " << disc.outer_px;
  }
  EXPECT_EQ(blobs.size(), discs.size());
}

}  // namespace
}  // namespace risetrace::sticker
