// Lunges drawn by hand: what is held, for how long, from where, and what is refused.
#include "ankle/judge_lunge.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "ankle/made_leg.h"
#include "ankle/read_angles.h"

namespace risetrace::ankle {
namespace {

using test::MadeLeg;

constexpr double standing_deg = 4.0;

// Standing for a second, forward over one, held for `hold_s`, back over one, standing for one.
double lean_at(double t, double deepest_deg, double hold_s) {
  const double share = t < 2 ? std::clamp(t - 1, 0.0, 1.0) : 1 - std::clamp(t - 2 - hold_s, 0.0, 1.0);
  return standing_deg + (deepest_deg - standing_deg) * (0.5 - 0.5 * std::cos(std::numbers::pi * share));
}

const auto always = [](double) { return true; };

PlaneMap map_of(const scale::Scale& scale) { return {scale, 1000, 1000, test::made_cards(), test::made_rules()}; }

template <typename LegAt, typename SeenAt>
LegAngles angles_of(const LegAt& leg_at, const SeenAt& seen_at, const PlaneMap& map, double forward = 1) {
  return read_angles(test::made_tracks(6, leg_at, seen_at, false), {}, map, {forward, 0.035, 0.08});
}

}  // namespace

TEST(JudgeLunge, TellsTheHeldAngleFacingEitherWay) {
  const PlaneMap map = map_of(test::made_scale());
  for (const double forward : {1.0, -1.0}) {
    const auto leg = [&](double t) { return MadeLeg{.shank_deg = lean_at(t, 38, 2), .forward = forward}; };
    ASSERT_EQ(facing_of_lunge(angles_of(leg, always, map), test::made_rules()), forward);
    const auto lunge = judge_lunge(angles_of(leg, always, map, forward), {}, map, test::made_rules());
    ASSERT_TRUE(lunge);
    EXPECT_NEAR(lunge->shank_deg, 38, 0.1);  // the hold's ends reach a little into the way there
    EXPECT_LE(lunge->shank_deg, 38 + 1e-9);
    EXPECT_NEAR(*lunge->standing_shank_deg, standing_deg, 1e-9);
    EXPECT_NEAR(*lunge->change_deg, 34, 0.1);
    EXPECT_NEAR(lunge->held_s(), 2.2, 0.1);  // 1 degree of 34 is passed in 0.11 s at either end: derived here
    EXPECT_TRUE(lunge->held);
    EXPECT_NEAR(*lunge->ankle_rise_cm, 0, 1e-9);
    EXPECT_FALSE(lunge->toe_to_wall_cm);
    EXPECT_TRUE(lunge->notes.empty());
  }
}

TEST(JudgeLunge, TheFartherOfTwoTriesCounts) {
  const PlaneMap map = map_of(test::made_scale());
  const auto leg = [](double t) { return MadeLeg{.shank_deg = t < 3 ? lean_at(2 * t, 45, 1) : lean_at(t - 2, 30, 1)}; };
  const auto lunge = judge_lunge(angles_of(leg, always, map), {}, map, test::made_rules());
  ASSERT_TRUE(lunge);
  EXPECT_NEAR(lunge->shank_deg, 45, 0.2);
  EXPECT_LT(lunge->hold_to_s, 2.5);
}

TEST(JudgeLunge, SaysWhatWasPassedThrough) {
  const PlaneMap map = map_of(test::made_scale());
  const auto leg = [](double t) { return MadeLeg{.shank_deg = lean_at(t, 40, 0)}; };
  const auto lunge = judge_lunge(angles_of(leg, always, map), {}, map, test::made_rules());
  ASSERT_TRUE(lunge);
  EXPECT_FALSE(lunge->held);
  EXPECT_TRUE(has_note(lunge->notes, "lunge-not-held"));
  EXPECT_LT(lunge->shank_deg, 40);
  EXPECT_GT(lunge->shank_deg, 35);
}

TEST(JudgeLunge, ClipThatBeginsInTheLungeHasNoStanding) {
  const PlaneMap map = map_of(test::made_scale());
  const auto leg = [](double t) { return MadeLeg{.shank_deg = lean_at(t + 2, 38, 2)}; };
  const auto lunge = judge_lunge(angles_of(leg, always, map), {}, map, test::made_rules());
  ASSERT_TRUE(lunge);
  EXPECT_FALSE(lunge->standing_shank_deg);
  EXPECT_FALSE(lunge->change_deg);
  EXPECT_TRUE(has_note(lunge->notes, "standing-not-seen"));
}

TEST(JudgeLunge, RefusesWhatItCannotKnow) {
  const PlaneMap map = map_of(test::made_scale());
  const auto upright = [](double t) { return MadeLeg{.shank_deg = lean_at(t, 7, 2)}; };
  EXPECT_FALSE(facing_of_lunge(angles_of(upright, always, map), test::made_rules()));
  const auto none = judge_lunge(angles_of(upright, always, map), {}, map, test::made_rules());
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().fault, Fault::no_lunge);
  const auto leg = [](double t) { return MadeLeg{.shank_deg = lean_at(t, 38, 2)}; };
  const auto hidden = judge_lunge(angles_of(
                                      leg, [](double t) { return t < 2.5 || t > 3; }, map),
                                  {}, map, test::made_rules());
  ASSERT_FALSE(hidden);
  EXPECT_EQ(hidden.error().fault, Fault::leg_stickers_missing);
  const auto never = judge_lunge(angles_of(
                                     leg, [](double) { return false; }, map),
                                 {}, map, test::made_rules());
  ASSERT_FALSE(never);
  EXPECT_EQ(never.error().fault, Fault::leg_stickers_missing);
}

TEST(JudgeLunge, AStickerThatJumpsIsLeftOut) {
  const PlaneMap map = map_of(test::made_scale());
  const auto leg = [](double t) { return MadeLeg{.shank_deg = lean_at(t, 38, 2)}; };
  sticker::LegTracks tracks = test::made_tracks(6, leg, always, false);
  for (std::size_t i = 70; i < 74; ++i) tracks.knee->samples[i].px.x += 300;
  const LegAngles angles = read_angles(tracks, {}, map, {1, 0.035, 0.08});
  EXPECT_EQ(angles.frames_strayed, 4);
  const auto lunge = judge_lunge(angles, {}, map, test::made_rules());
  ASSERT_TRUE(lunge);
  EXPECT_NEAR(lunge->shank_deg, 38, 0.1);
}

TEST(JudgeLunge, MeasuresFromToeToWallWhereBothArePointedOut) {
  const PlaneMap map = map_of(test::made_scale());
  const auto leg = [](double t) { return MadeLeg{.shank_deg = lean_at(t, 38, 2)}; };
  const LungeQuestion question{Point{700, 980}, 700 + 11.5 * test::made_px_per_cm};
  const auto lunge = judge_lunge(angles_of(leg, always, map), question, map, test::made_rules());
  ASSERT_TRUE(lunge);
  EXPECT_NEAR(*lunge->toe_to_wall_cm, 11.5, 1e-9);
  EXPECT_NEAR(*lunge->toe_to_wall_cm_u, 0.3 * std::sqrt(2.0), 0.01);  // the roll of half a degree does nothing to it
  const PlaneMap pixels = map_of(scale::Scale{});
  const auto without = judge_lunge(angles_of(leg, always, pixels), question, pixels, test::made_rules());
  ASSERT_TRUE(without);
  EXPECT_FALSE(without->toe_to_wall_cm);
  EXPECT_FALSE(without->ankle_rise_cm);
  EXPECT_NEAR(without->shank_deg, 38, 0.1);
}

TEST(JudgeLunge, AHeelThatRisesAndAFootThatMovesAreSaid) {
  const PlaneMap map = map_of(test::made_scale());
  const LungeQuestion question{Point{700, 980}, 790};
  const auto rising = [](double t) {
    const double lean = lean_at(t, 38, 2);
    return MadeLeg{.shank_deg = lean, .ankle_cm = {4, 12 + 1.5 * (lean - standing_deg) / 34}};
  };
  const auto heel = judge_lunge(angles_of(rising, always, map), question, map, test::made_rules());
  ASSERT_TRUE(heel);
  EXPECT_NEAR(*heel->ankle_rise_cm, 1.5, 0.01);
  EXPECT_TRUE(has_note(heel->notes, "heel-may-have-risen"));
  EXPECT_TRUE(heel->toe_to_wall_cm);
  const auto stepping = [](double t) {
    return MadeLeg{.shank_deg = lean_at(t, 38, 2), .ankle_cm = {t < 1.2 ? 4.0 : 7.0, 12}};
  };
  const auto step = judge_lunge(angles_of(stepping, always, map), question, map, test::made_rules());
  ASSERT_TRUE(step);
  EXPECT_TRUE(has_note(step->notes, "foot-moved"));
  EXPECT_FALSE(step->toe_to_wall_cm);
}

}  // namespace risetrace::ankle
