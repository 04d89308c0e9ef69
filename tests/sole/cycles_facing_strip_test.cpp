// Ups and downs of the heel, which way the foot points, and pieces of frames.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>
#include <vector>

#include "drawn_world.h"
#include "sole/cycles.h"
#include "sole/facing.h"
#include "sole/strip.h"

namespace risetrace::sole {
namespace {

using test::frame_of;
using test::whole_strip;

std::vector<Turn> turns_of(const std::function<double(double)>& up_px, double seconds, double least_px) {
  CycleFinder finder(least_px);
  std::vector<Turn> turns;
  for (int n = 0; n < seconds * 120; ++n) {
    if (const auto turn = finder.push(n / 120.0, up_px(n / 120.0))) turns.push_back(*turn);
  }
  return turns;
}

TEST(Cycles, HighAndLowTakeTurns) {
  const auto turns = turns_of([](double t) { return 40 * std::sin(2 * M_PI * 2.5 * t); }, 2, 10);
  ASSERT_GE(turns.size(), 8U);
  for (std::size_t i = 0; i < turns.size(); ++i) {
    EXPECT_EQ(turns[i].high, i % 2 == 0);
    EXPECT_NEAR(turns[i].up_px, turns[i].high ? 40 : -40, 0.1);
    EXPECT_NEAR(turns[i].time_s, 0.1 + 0.2 * static_cast<double>(i), 0.006);
  }
}

TEST(Cycles, SmallMovesAreNone) {
  std::mt19937 random(4);
  std::normal_distribution<double> noise(0, 1);
  EXPECT_TRUE(turns_of([&](double /*t*/) { return noise(random); }, 5, 10).empty());
  // A wobble under three tenths of the swing on the way up and down changes nothing.
  const auto turns =
      turns_of([](double t) { return 40 * std::sin(2 * M_PI * 2.5 * t) + 4 * std::sin(2 * M_PI * 20 * t + 1); }, 2, 3);
  EXPECT_EQ(turns.size(), turns_of([](double t) { return 40 * std::sin(2 * M_PI * 2.5 * t); }, 2, 3).size());
}

TEST(Cycles, AFallFirstIsNoFlight) {
  const auto turns = turns_of([](double t) { return t < 0.5 ? -100 * t : -50 + 100 * (t - 0.5); }, 1, 10);
  EXPECT_TRUE(turns.empty());
}

clip::Patch patch_of(const std::function<float(int x, int y)>& grey) {
  clip::Patch patch{{100, 50, 200, 40}, {}};
  for (int y = 50; y < 90; ++y) {
    for (int x = 100; x < 300; ++x) patch.grey.push_back(grey(x, y));
  }
  return patch;
}

// A shoe from `from` to `to` on a grey floor; in the air it is gone from these rows.
clip::Patch shoe(int from, int to) {
  return patch_of([=](int x, int y) { return x >= from && x < to && y < 80 ? 60.0F : 130.0F; });
}
const clip::Patch gone = shoe(0, 0);

TEST(Facing, TheFootLiesAheadOfItsHeel) {
  EXPECT_EQ(facing_of(shoe(190, 280), gone, 200), 1.0);
  EXPECT_EQ(facing_of(shoe(120, 210), gone, 200), -1.0);
  EXPECT_EQ(facing_of(gone, shoe(190, 280), 200), 1.0) << "which of the two stands is all one";
}

TEST(Facing, TheFarFootHopsTooAndAMatIsThereAlways) {
  // Another foot 7 cm ahead, or behind, does not turn it round.
  const auto both = [](int from, int to, int far_from, int far_to) {
    return patch_of([=](int x, int y) {
      if (x >= from && x < to && y < 80) return 60.0F;
      return x >= far_from && x < far_to && y < 66 ? 90.0F : 130.0F;
    });
  };
  EXPECT_EQ(facing_of(both(190, 270, 215, 295), gone, 200), 1.0);
  EXPECT_EQ(facing_of(both(190, 270, 160, 240), gone, 200), 1.0);
  EXPECT_EQ(facing_of(both(130, 210, 160, 240), gone, 200), -1.0);
}

TEST(Facing, NotToldWhereBothSidesChanged) {
  EXPECT_FALSE(facing_of(shoe(120, 280), gone, 200));
  EXPECT_FALSE(facing_of(gone, gone, 200));
  EXPECT_FALSE(facing_of(shoe(210, 211), gone, 200)) << "thirty pixels are too few";
  EXPECT_FALSE(facing_of({}, {}, 200));
}

TEST(Strip, TheMedianOfSeveralLeavesOutWhatPasses) {
  const test::World floor = test::floor_grey;
  std::vector<Strip> strips;
  for (int i = 0; i < 5; ++i) {
    const Point shake{0.5 * i, -0.25 * i};
    const auto passing = [&](double x, double y) {
      const bool passer = std::abs(x - 40 - 40 * i) < 15;
      return passer ? 250 : floor(x - shake.x, y - shake.y);
    };
    test::Film film;
    film.noise = 1;
    film.width = 240;
    film.height = 80;
    strips.push_back(whole_strip(frame_of(passing, film, i), shake));
  }
  std::vector<const Strip*> all;
  all.reserve(strips.size());
  for (const Strip& s : strips) all.push_back(&s);
  const Box box{10, 10, 210, 60};
  const Plate plate = median_plate(all, box);
  double worst = 0;
  for (int y = 10; y < 70; ++y) {
    for (int x = 10; x < 220; ++x) worst = std::max(worst, std::abs(plate.at(x, y) - floor(x, y)));
  }
  EXPECT_LT(worst, 6) << "five noisy pixels, read between pixels";
  EXPECT_TRUE(plate.holds(10, 10) && plate.holds(219, 69));
  EXPECT_FALSE(plate.holds(9, 10) || plate.holds(220, 10));
}

TEST(Strip, OutsideOfThePictureIsNotKnown) {
  test::Film film;
  film.width = 40;
  film.height = 30;
  const Strip strip = whole_strip(frame_of([](double x, double y) { return 2 * x + 3 * y; }, film));
  const Plate plate = median_plate({&strip}, {20, 10, 30, 10});
  EXPECT_FALSE(std::isnan(plate.at(30, 15)));
  EXPECT_TRUE(std::isnan(plate.at(45, 15)));
  // Blurring keeps to what is known.
  const Plate soft = blurred(plate, 2);
  EXPECT_TRUE(std::isnan(soft.at(45, 15)));
  EXPECT_NEAR(soft.at(30, 15), 2 * 30 + 3 * 15, 0.6);
  EXPECT_FALSE(std::isnan(soft.at(38, 15)));
  const Sampled between = sample(strip, 12.25, 7.5);
  EXPECT_TRUE(between.inside);
  EXPECT_NEAR(between.grey, 2 * 12.25 + 3 * 7.5, 0.6);
  EXPECT_NEAR(between.slope_x, 2, 0.6);
  EXPECT_NEAR(between.slope_y, 3, 0.6);
  EXPECT_FALSE(sample(strip, -0.1, 5).inside || sample(strip, 39.5, 5).inside || sample(strip, 5, 29.2).inside);
}

}  // namespace
}  // namespace risetrace::sole
