// Angles of one pose against the trigonometry that drew it, and their uncertainty against formulas derived here.
#include "ankle/pose_angles.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "ankle/made_leg.h"

namespace risetrace::ankle {
namespace {

using test::MadeLeg;
using test::rad_per_deg;

constexpr int width_px = 1000;
constexpr int height_px = 1000;

PlaneMap map_of(const scale::Scale& scale) {
  return {scale, width_px, height_px, test::made_cards(), test::made_rules()};
}

double deg(double tenths) { return tenths / 10; }

}  // namespace

RC_GTEST_PROP(PoseAngles, AreThoseOfTheDrawnLeg, ()) {
  MadeLeg leg;
  leg.shank_deg = deg(*rc::gen::inRange(-300, 500));
  leg.knee_deg = deg(*rc::gen::inRange(-100, 1000));
  leg.forward = *rc::gen::element(1.0, -1.0);
  for (const scale::Scale& scale : {test::made_scale(), scale::Scale{}}) {
    const PlaneMap map = map_of(scale);
    RC_ASSERT(std::abs(shank_deg(map, test::places_of(leg), leg.forward) - leg.shank_deg) < 1e-9);
    RC_ASSERT(std::abs(knee_deg(map, test::places_of(leg), leg.forward) - leg.knee_deg) < 1e-9);
  }
}

RC_GTEST_PROP(PoseAngles, DoNotChangeWithTheCardsSize, ()) {
  MadeLeg leg;
  leg.shank_deg = deg(*rc::gen::inRange(-300, 500));
  leg.knee_deg = deg(*rc::gen::inRange(0, 900));
  const double times = 0.5 + 0.1 * *rc::gen::inRange(0, 30);
  const PlaneMap once = map_of(test::made_scale());
  const PlaneMap doubled = map_of(test::made_scale(times * test::made_px_per_cm));
  const LegPlaces places = test::places_of(leg);
  RC_ASSERT(std::abs(shank_deg(once, places, 1) - shank_deg(doubled, places, 1)) < 1e-9);
  RC_ASSERT(std::abs(knee_deg(once, places, 1) - knee_deg(doubled, places, 1)) < 1e-9);
}

RC_GTEST_PROP(PoseAngles, ATurnedCameraTurnsTheShankByItAndNotTheKnee, ()) {
  const double roll_deg = deg(*rc::gen::inRange(-100, 100));
  const LegPlaces places = test::places_of({.shank_deg = 20, .knee_deg = 40});
  const PlaneMap straight = map_of(test::made_scale());
  const PlaneMap rolled = map_of(test::made_scale(test::made_px_per_cm, roll_deg));
  RC_ASSERT(std::abs(std::abs(shank_deg(rolled, places, 1) - shank_deg(straight, places, 1)) - std::abs(roll_deg)) <
            1e-9);
  RC_ASSERT(std::abs(knee_deg(rolled, places, 1) - 40) < 1e-9);
}

// Two ends of 40 cm, each off by 1 cm across: sqrt(2) atan(1/40), beside the card's half degree and the depth. The
// depth moves a sticker by 3/300 of its way from the picture's middle, of which the part across the shank turns it.
TEST(PoseAngles, UncertaintyOfAnUprightShankIsDerivedHere) {
  const model::AngleRules rules = test::made_rules();
  const PlaneMap map = map_of(test::made_scale());
  const LegPlaces places = test::places_of({});
  const double landmarks = std::sqrt(2.0) * std::atan(1 / 40.0) / rad_per_deg;
  const double aside_cm = 4 - (499.5 - 500) / test::made_px_per_cm;  // of the leg from the middle
  const auto shift = [&](double length_cm) { return std::atan(0.01 * aside_cm / length_cm) / rad_per_deg; };
  // The ankle lies 12 cm up, the middle 61.3: its shift is also along, which alters the length by half a centimetre.
  const double depth = std::hypot(shift(40), shift(40));
  const double wanted = std::hypot(landmarks, 0.5, depth);
  EXPECT_NEAR(math::standard_u(pose_effects(&shank_deg, map, places, 1, rules)), wanted, 0.005);
}

TEST(PoseAngles, ThePicturesUprightIsLessSureThanTheCards) {
  const model::AngleRules rules = test::made_rules();
  const LegPlaces places = test::places_of({.shank_deg = 38});
  const double card = math::standard_u(pose_effects(&shank_deg, map_of(test::made_scale()), places, 1, rules));
  const double picture = math::standard_u(pose_effects(&shank_deg, map_of(scale::Scale{}), places, 1, rules));
  EXPECT_GT(picture, card);
  EXPECT_GT(picture, rules.picture_level_u_deg);
}

// The same sticker is as far off its landmark in both poses.
TEST(PoseAngles, AMisplacedStickerFallsOutOfAChange) {
  model::AngleRules rules = test::made_rules();
  rules.leg_depth_u_cm = 1e-9;
  const PlaneMap map = map_of(test::made_scale());
  const auto effects = [&](double deg) {
    return pose_effects(&shank_deg, map, test::places_of({.shank_deg = deg}), 1, rules);
  };
  EXPECT_GT(math::standard_u(effects(40)), 2.0);
  EXPECT_LT(math::standard_u(math::plus(effects(40), -1, effects(3))), 0.01);
}

}  // namespace risetrace::ankle
