// A drawn background shifted by known amounts.
#include "sole/camera_shift.h"

#include <gtest/gtest.h>

#include <cmath>

#include "drawn_world.h"

namespace risetrace::sole {
namespace {

using test::Film;
using test::frame_of;
using test::World;

// As strong as print on a poster: under 60 grey levels squared of mean squared slope a patch is not watched.
double wall(double x, double y) { return 120 + 85 * test::speckle(x, y, 5, 21); }

World shifted(const World& world, Point by) {
  return [=](double x, double y) { return world(x - by.x, y - by.y); };
}

const Box nowhere{0, 0, 0, 0};

TEST(CameraShift, FollowsShiftsToAFewHundredthsOfAPixel) {
  CameraShift shift(nowhere);
  Film film;
  film.noise = 2;
  std::int64_t n = 0;
  for (const Point by : {Point{0, 0}, Point{0.3, -0.7}, Point{2.4, 1.1}, Point{-3.6, 4.45}, Point{0.5, 0.5}}) {
    const Point found = shift.push(frame_of(shifted(wall, by), film, n++));
    EXPECT_NEAR(found.x, by.x, 0.05) << n;
    EXPECT_NEAR(found.y, by.y, 0.05) << n;
    EXPECT_TRUE(n == 1 || shift.agreeing() >= 12) << shift.agreeing();
  }
}

TEST(CameraShift, AMovingLegAndALampThatFlickersAreNoShift) {
  CameraShift shift(nowhere);
  Film film;
  film.noise = 1;
  for (std::int64_t n = 0; n < 6; ++n) {
    const double leg_x = 120 + 9.0 * static_cast<double>(n);
    const Point by{0.4 * static_cast<double>(n), 0};
    const double lamp = n % 2 == 0 ? 0 : 10;
    const World world = [&](double x, double y) {
      const bool leg = std::abs(x - leg_x) < 45;
      return lamp + (leg ? 90 + 40 * test::speckle(x - leg_x, y, 8, 5) : wall(x - by.x, y - by.y));
    };
    const Point found = shift.push(frame_of(world, film, n));
    EXPECT_NEAR(found.x, by.x, 0.08) << n;
    EXPECT_NEAR(found.y, 0, 0.08) << n;
  }
}

// Where it is told the leg will be, nothing is watched: there even most of the picture may move.
TEST(CameraShift, NothingIsWatchedWhereTheLegIs) {
  CameraShift shift({0, 0, 300, 1000});
  for (std::int64_t n = 0; n < 4; ++n) {
    const double gone = 2.0 * static_cast<double>(n);
    const World world = [&](double x, double y) { return x < 300 ? wall(x - gone, y) : wall(x, y); };
    const Point found = shift.push(frame_of(world, Film{}, n));
    EXPECT_NEAR(found.x, 0, 0.03) << n;
    EXPECT_NEAR(found.y, 0, 0.03) << n;
  }
}

TEST(CameraShift, NothingToSeeIsNoShift) {
  const World plain = [](double /*x*/, double y) { return 100 + 0.1 * y; };
  CameraShift shift(nowhere);
  Film film;
  film.noise = 2;
  for (std::int64_t n = 0; n < 3; ++n) {
    const Point found = shift.push(frame_of(plain, film, n));
    EXPECT_EQ(found.x, 0);
    EXPECT_EQ(found.y, 0);
    EXPECT_EQ(shift.agreeing(), 0);
  }
  // Upright stripes say nothing of up and down; no corner is in them.
  const World stripes = [](double x, double /*y*/) { return 120 + 80 * std::sin(x / 3); };
  CameraShift of_stripes(nowhere);
  of_stripes.push(frame_of(stripes, Film{}, 0));
  const Point found = of_stripes.push(frame_of(shifted(stripes, {1, 0}), Film{}, 1));
  EXPECT_EQ(found.x, 0);
  EXPECT_EQ(found.y, 0);
}

// Knocked over, or covered by somebody: what was last known stays.
TEST(CameraShift, WhatIsLostKeepsItsLastShift) {
  CameraShift shift(nowhere);
  shift.push(frame_of(wall, Film{}, 0));
  const Point known = shift.push(frame_of(shifted(wall, {1.5, 0.5}), Film{}, 1));
  const Point lost = shift.push(frame_of([](double /*x*/, double /*y*/) { return 90.0; }, Film{}, 2));
  EXPECT_EQ(lost.x, known.x);
  EXPECT_EQ(lost.y, known.y);
  EXPECT_EQ(shift.agreeing(), 0);
  const Point again = shift.push(frame_of(shifted(wall, {1.8, 0.2}), Film{}, 3));
  EXPECT_NEAR(again.x, 1.8, 0.03);
}

}  // namespace
}  // namespace risetrace::sole
