// What is a rep, where it begins and ends, how high it is.
#include "raise/find_reps.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "filmed_set.h"

namespace risetrace::raise {
namespace {

using test::has_note;
using test::Movement;
using test::reps_in;
using test::share_s;

Movement standing_then(int reps, double height_cm = 10) {
  Movement m;
  m.stay(1);
  for (int i = 0; i < reps; ++i) m.rep(height_cm);
  return m;
}

TEST(FindReps, ReadsEachRep) {
  const RepSet set = reps_in(standing_then(5).stay(1));
  ASSERT_EQ(set.reps.size(), 5u);
  for (int i = 0; i < 5; ++i) {
    const Rep& rep = set.reps[static_cast<std::size_t>(i)];
    EXPECT_EQ(rep.n, i + 1);
    EXPECT_NEAR(rep.peak_s, 2 + 2 * i, 1e-3);
    EXPECT_NEAR(rep.start_s, 1 + 2 * i + share_s(0.03, 1), 1e-3);
    EXPECT_NEAR(rep.end_s, 3 + 2 * i - share_s(0.03, 1), 1e-3);
    EXPECT_NEAR(rep.height_cm, 10, 1e-3);
    EXPECT_NEAR(rep.floor_cm, 0, 1e-6);
    EXPECT_NEAR(rep.of_reference.value_or(0), 1, 1e-3);
    EXPECT_FALSE(rep.low);
    EXPECT_TRUE(rep.lowered);
    EXPECT_TRUE(rep.counted);
    EXPECT_FALSE(rep.height_cm_u.has_value());
  }
  EXPECT_EQ(set.count, 5);
  EXPECT_NEAR(set.standing_cm, 0, 1e-6);
  EXPECT_NEAR(set.reference_height_cm.value_or(0), 10, 1e-3);
  EXPECT_NEAR(set.greatest_height_cm.value_or(0), 10, 1e-3);
  EXPECT_NEAR(set.total_height_cm.value_or(0), 50, 5e-3);
  EXPECT_NEAR(set.rep_period_s.value_or(0), 2, 1e-3);
  EXPECT_EQ(set.on_beat_share, 1.0);
  EXPECT_TRUE(set.notes.empty());
  EXPECT_EQ(set.set_end.why, EndWhy::clip_end);
  EXPECT_NEAR(set.set_end.t_s, 12, 1e-9);
  EXPECT_EQ(set.set_end.frame, 100 + 12 * 60);
  EXPECT_EQ(set.set_end.after_rep, 5);
  EXPECT_EQ(set.set_end.last_full_rep, 5);
}

TEST(FindReps, FindsNothingWhereNothingRises) {
  for (const RepSet& set : {reps_in(Movement().stay(8)), reps_in(test::Samples{})}) {
    EXPECT_TRUE(set.reps.empty());
    EXPECT_EQ(set.count, 0);
    EXPECT_FALSE(set.reference_height_cm.has_value());
    EXPECT_FALSE(set.greatest_height_cm.has_value());
    EXPECT_FALSE(set.total_height_cm.has_value());
    EXPECT_FALSE(set.rep_period_s.has_value());
    EXPECT_FALSE(set.on_beat_share.has_value());
    EXPECT_EQ(set.set_end.why, EndWhy::clip_end);
    EXPECT_EQ(set.set_end.after_rep, 0);
    ASSERT_EQ(set.count_at.size(), 3u);
    EXPECT_EQ(set.count_at[1].count, 0);
  }
}

TEST(FindReps, TakesOneAndTwoRepsAndSaysWhatTheReferenceIs) {
  const RepSet one = reps_in(standing_then(1).stay(1));
  ASSERT_EQ(one.reps.size(), 1u);
  EXPECT_EQ(one.count, 1);
  EXPECT_NEAR(one.reference_height_cm.value_or(0), 10, 1e-3);
  EXPECT_TRUE(has_note(one, "reference-from-fewer-reps"));
  EXPECT_FALSE(one.reps[0].period_s.has_value());
  EXPECT_FALSE(one.reps[0].on_beat.has_value());
  EXPECT_FALSE(one.rep_period_s.has_value());

  const RepSet two = reps_in(Movement().stay(1).rep(10).rep(8).stay(1));
  ASSERT_EQ(two.reps.size(), 2u);
  EXPECT_NEAR(two.reference_height_cm.value_or(0), 9, 1e-3);
  EXPECT_TRUE(has_note(two, "reference-from-fewer-reps"));
  EXPECT_EQ(two.reps[0].on_beat, true);
}

TEST(FindReps, HeldTopsPeakInTheMiddleOfTheHold) {
  const RepSet set = reps_in(Movement().stay(1).go(9, 0.8).stay(1).go(0, 0.8).stay(1));
  ASSERT_EQ(set.reps.size(), 1u);
  EXPECT_NEAR(set.reps[0].peak_s, 2.3, 1e-3);
  EXPECT_NEAR(set.reps[0].height_cm, 9, 2e-3);
}

TEST(FindReps, ADipAtTheTopAndAWobbleOnTheWaySplitNothing) {
  Movement m;
  m.stay(1).go(5, 0.6).go(3.8, 0.3).go(10, 0.6).go(8.7, 0.3).go(9.8, 0.3).go(5, 0.5).go(6.2, 0.3).go(0, 0.6).rep(10);
  const RepSet set = reps_in(m.stay(1));
  ASSERT_EQ(set.reps.size(), 2u);
  EXPECT_NEAR(set.reps[0].height_cm, 10, 0.02);
  EXPECT_NEAR(set.reps[0].end_s, 4.5 - 0.6 * 0.14, 0.05);
  EXPECT_NEAR(set.reps[0].start_s, 1.0 + share_s(0.06, 0.6), 1e-2);
}

TEST(FindReps, PausesAtTheBottomShiftNoStart) {
  const RepSet set = reps_in(standing_then(1).stay(3).rep(10).stay(4).rep(10).stay(1));
  ASSERT_EQ(set.reps.size(), 3u);
  EXPECT_NEAR(set.reps[1].start_s, 6 + share_s(0.03, 1), 1e-3);
  EXPECT_NEAR(set.reps[2].start_s, 12 + share_s(0.03, 1), 1e-3);
  EXPECT_NEAR(set.reps[1].end_s, 8 - share_s(0.03, 1), 1e-3);
  EXPECT_EQ(set.count, 3);
}

// The heel pad gives way on landing: 4 mm under standing for a moment. Neither the end before nor the start after it
// may be read off that dip.
TEST(FindReps, ADipOnLandingShiftsNoStart) {
  Movement m;
  m.stay(1).go(10, 1).go(-0.4, 1).go(0, 0.2).stay(2).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 2u);
  EXPECT_NEAR(set.reps[1].start_s, 5.2 + share_s(0.03, 1), 2e-3);
  EXPECT_NEAR(set.reps[0].end_s, 3 - share_s(0.03, 1), 2e-2);
}

TEST(FindReps, ADipInTheRestShiftsNeitherEndNorStart) {
  Movement m;
  m.stay(1).rep(10).stay(1).go(-0.4, 0.2).go(0, 0.2).stay(1).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 2u);
  EXPECT_NEAR(set.reps[0].end_s, 3 - share_s(0.03, 1), 1e-3);
  EXPECT_NEAR(set.reps[1].start_s, 5.4 + share_s(0.03, 1), 1e-3);
  EXPECT_NEAR(set.reps[1].floor_cm, -0.4, 1e-3);
}

TEST(FindReps, SwayOfAStandingHeelIsNoRep) {
  const auto sway = [](double t) { return 0.4 * std::sin(2 * std::numbers::pi * 0.3 * t); };
  const RepSet still = reps_in(test::samples_of(sway, 20));
  EXPECT_TRUE(still.reps.empty());
  Movement m = standing_then(3);
  m.stay(4);
  const RepSet set = reps_in(test::samples_of([&](double t) { return m(t) + (t > 1 && t < 7 ? 0 : sway(t)); }, 11));
  EXPECT_EQ(set.reps.size(), 3u);
}

TEST(FindReps, AShiftOfWeightBeforeTheFirstRepMovesStandingButIsNoRep) {
  Movement m;
  m.stay(8).go(1.2, 0.5).stay(4);
  for (int i = 0; i < 3; ++i) m.rep(10, 1, 1, 1.2);
  const RepSet set = reps_in(m.stay(1));
  ASSERT_EQ(set.reps.size(), 3u);
  EXPECT_NEAR(set.standing_cm, 1.2, 1e-6);
  EXPECT_NEAR(set.reps[0].height_cm, 8.8, 1e-3);
  EXPECT_TRUE(set.reps[0].lowered);
}

TEST(FindReps, SlowDriftOfTheHeelIsNoRep) {
  Movement m = standing_then(3);
  m.go(1.4, 3).go(0.1, 3).go(1.4, 0.5).stay(2);
  EXPECT_EQ(reps_in(m).reps.size(), 3u);
}

TEST(FindReps, TheLeastRiseIsTheProtocols) {
  Movement m;
  m.stay(1).rep(1.6).rep(1.4).stay(1);
  EXPECT_EQ(reps_in(m).reps.size(), 1u);
  auto rules = test::protocol();
  rules.least_rise_cm = 1.2;
  EXPECT_EQ(reps_in(m, rules).reps.size(), 2u);
}

TEST(FindReps, TheLeastRiseGrowsWithTheReference) {
  Movement m = standing_then(3);
  m.rep(2.2).rep(2.2).rep(10).stay(1);  // 2.2 of 10 cm is under a quarter
  EXPECT_EQ(reps_in(m).reps.size(), 4u);
  auto rules = test::protocol();
  rules.least_rise_of_reference = 0.2;
  EXPECT_EQ(reps_in(m, rules).reps.size(), 6u);
}

TEST(FindReps, NamesTheRepsBeforeWhichTheHeelWasNotLowered) {
  Movement m;
  m.stay(1).rep(10).rep(10, 1, 1, 1.9).rep(10, 1, 1, 2.2).rep(10, 1, 1, 4).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 5u);
  EXPECT_NEAR(set.reps[2].floor_cm, 1.9, 1e-3);
  EXPECT_TRUE(set.reps[2].lowered);
  EXPECT_NEAR(set.reps[3].floor_cm, 2.2, 1e-3);
  EXPECT_FALSE(set.reps[3].lowered);
  EXPECT_FALSE(set.reps[4].lowered);
  EXPECT_EQ(set.count, 5);
  ASSERT_EQ(set.notes.size(), 1u);
  EXPECT_EQ(set.notes[0].code, "not-lowered");
  EXPECT_NE(set.notes[0].text.find("4, 5"), std::string::npos) << set.notes[0].text;
  EXPECT_NEAR(set.reps[3].start_s, 7 + share_s(0.03, 1), 1e-3);
}

TEST(FindReps, ASetUnderWayAtTheFirstFrame) {
  // From half-way up, no standing anywhere; the lowest place beside the first peak is after it.
  Movement up(5);
  up.go(10, 0.5).go(0.2, 1).go(10, 1).go(0, 1).rep(10).go(0, 0.1);
  const RepSet set = reps_in(up);
  ASSERT_EQ(set.reps.size(), 3u);
  EXPECT_TRUE(has_note(set, "no-standing-at-start"));
  EXPECT_FALSE(has_note(set, "rep-cut-off-at-start"));
  EXPECT_NEAR(set.standing_cm, 0.2, 1e-2);
  EXPECT_NEAR(set.reps[0].height_cm, 9.8, 1e-2);
  EXPECT_TRUE(set.reps[0].lowered);
}

TEST(FindReps, AClipThatBeginsAtTheTop) {
  Movement top(10);
  top.stay(1).go(0, 1).rep(10).rep(10).rep(10).stay(0.5);
  const RepSet set = reps_in(top);
  ASSERT_EQ(set.reps.size(), 3u);
  EXPECT_TRUE(has_note(set, "rep-cut-off-at-start"));
  EXPECT_NEAR(set.standing_cm, 0, 0.02);
  EXPECT_NEAR(set.reps[0].height_cm, 10, 0.02);
  // With time to stand before the first whole rep nothing need be guessed.
  Movement rested(10);
  rested.stay(1).go(0, 1).stay(1).rep(10).rep(10).rep(10).stay(0.5);
  const RepSet known = reps_in(rested);
  ASSERT_EQ(known.reps.size(), 3u);
  EXPECT_FALSE(has_note(known, "no-standing-at-start"));
  EXPECT_NEAR(known.standing_cm, 0, 1e-3);
}

TEST(FindReps, ARepTheClipEndsIn) {
  const RepSet rising = reps_in(standing_then(3).go(8, 0.8));
  EXPECT_EQ(rising.reps.size(), 3u);
  EXPECT_TRUE(has_note(rising, "rep-cut-off-at-end"));
  const RepSet at_top = reps_in(standing_then(3).go(10, 1).go(9, 0.3));
  EXPECT_EQ(at_top.reps.size(), 3u);
  EXPECT_TRUE(has_note(at_top, "rep-cut-off-at-end"));

  const RepSet falling = reps_in(standing_then(3).go(10, 1).go(5, 0.5));
  ASSERT_EQ(falling.reps.size(), 4u);
  EXPECT_TRUE(has_note(falling, "last-rep-cut"));
  EXPECT_FALSE(has_note(falling, "rep-cut-off-at-end"));
  EXPECT_NEAR(falling.reps[3].end_s, 8.5, 1e-9);
  EXPECT_EQ(falling.count, 4);

  const RepSet landed = reps_in(standing_then(4));  // ends on the frame that touches down
  ASSERT_EQ(landed.reps.size(), 4u);
  EXPECT_FALSE(has_note(landed, "last-rep-cut"));
  EXPECT_NEAR(landed.reps[3].end_s, 9 - share_s(0.03, 1), 1e-3);
}

// The time looked for the foot ends exactly on the last frame: rounding of a later clock must not decide.
TEST(FindReps, ALandingThatEndsWithTheClipIsReadTheSameOnAnyClock) {
  test::Samples samples = test::samples_of(Movement().stay(0.6).rep(2.5, 0.6, 0.45, 0.8).stay(0.1));
  const RepSet before = reps_in(samples);
  for (auto& s : samples) s.time_s += 1024;
  const RepSet after = reps_in(samples);
  ASSERT_EQ(before.reps.size(), 1u);
  ASSERT_EQ(after.reps.size(), 1u);
  EXPECT_NEAR(after.reps[0].end_s, before.reps[0].end_s + 1024, 1e-6);
}

TEST(FindReps, StepsIntoPlaceAndAwayAreNoReps) {
  Movement set;
  set.stay(0.5).rep(12, 0.3, 0.3).stay(2).rep(10).rep(10).rep(9).stay(1).rep(15, 0.3, 0.3).stay(1);
  test::Samples samples = test::samples_of(set);
  for (path::PathSample& s : samples) {
    // 60 cm forward in the first lift and again in the last; a raise's own arc in between.
    const double walked = s.time_s < 0.5 ? 0 : s.time_s < 1.1 ? 100 * (s.time_s - 0.5) : 60;
    const double away = s.time_s < 10.1 ? 0 : s.time_s < 10.7 ? 100 * (s.time_s - 10.1) : 60;
    s.across_cm = walked + away + 13 - std::sqrt(169 - std::min(s.up_cm, 12.0) * std::min(s.up_cm, 12.0));
  }
  const RepSet found = reps_in(samples);
  ASSERT_EQ(found.reps.size(), 3U);
  EXPECT_NEAR(found.reps[0].height_cm, 10, 0.01);
  EXPECT_EQ(std::count_if(found.notes.begin(), found.notes.end(),
                          [](const Note& note) { return note.code == "step-not-counted"; }),
            2);
  // The same without going anywhere is five reps; 15 cm is not yet odd beside a reference of 12, 10 and 10.
  for (path::PathSample& s : samples) s.across_cm = 0;
  const RepSet lifted = reps_in(samples);
  EXPECT_EQ(lifted.reps.size(), 5U);
  EXPECT_FALSE(has_note(lifted, "rep-far-higher"));
}

// Lifted straight up, and gone from there: at its highest it has not left its place yet. Whichever rise it is, nothing
// of the others changes for it.
TEST(FindReps, AFootLiftedThenSetDownElsewhereIsAStep) {
  for (const int reps_before : {0, 1, 2, 3, 4}) {
    for (const double way_cm : {9.0, -9.0, 70.0}) {
      Movement set;
      set.stay(1);
      for (int i = 0; i < reps_before; ++i) set.rep(10 - 0.2 * i);
      const double lifted_s = 1 + 2 * reps_before;
      set.rep(18, 0.4, 0.8).stay(1.2);
      for (int i = reps_before; i < 4; ++i) set.rep(10 - 0.2 * i);
      set.stay(0.5);
      test::Samples samples = test::samples_of(set);
      for (path::PathSample& s : samples) {
        s.across_cm = way_cm * std::clamp((s.time_s - lifted_s - 0.5) / 0.7, 0.0, 1.0);
      }
      const RepSet found = reps_in(samples);
      ASSERT_EQ(found.reps.size(), 4U) << reps_before << " " << way_cm;
      for (int i = 0; i < 4; ++i) {
        EXPECT_NEAR(found.reps[static_cast<std::size_t>(i)].height_cm, 10 - 0.2 * i, 0.02)
            << reps_before << " " << way_cm;
      }
      EXPECT_NEAR(found.reference_height_cm.value_or(0), 9.8, 0.02);
      EXPECT_TRUE(has_note(found, "step-not-counted"));
      EXPECT_FALSE(has_note(found, "rep-far-higher"));
    }
  }
}

// A heel that stops on its way down, or is not let down, or is left there by the clip, is forward on the foot's arc.
TEST(FindReps, AHeelStillUpOnItsArcWasNotSetDownElsewhere) {
  const auto on_arc = [](Movement movement) {
    test::Samples samples = test::samples_of(movement);
    for (path::PathSample& s : samples) {
      const double above_cm = 5.9 + s.up_cm;
      s.across_cm = 17.9 - std::sqrt(17.9 * 17.9 + 5.9 * 5.9 - above_cm * above_cm);
    }
    return reps_in(samples);
  };
  Movement stops;
  stops.stay(1);
  for (int i = 0; i < 5; ++i) stops.go(11, 0.7).go(7.5, 0.4).stay(0.25).go(0, 0.5).stay(0.3);
  EXPECT_EQ(on_arc(stops.stay(1)).reps.size(), 5U);
  Movement held_up;
  held_up.stay(1);
  for (int i = 0; i < 5; ++i) held_up.go(12, 0.7).go(7.5, 0.7);
  EXPECT_EQ(on_arc(held_up.go(0, 0.8).stay(1)).reps.size(), 5U);
  const RepSet cut = on_arc(standing_then(3, 11).go(11, 0.8).go(8, 0.3));
  EXPECT_EQ(cut.reps.size(), 4U);
  EXPECT_TRUE(has_note(cut, "last-rep-cut"));
}

// The top of a lifted foot makes the reference for as long as it is taken for a rep, and the two before it are low by
// that: nothing may end by it.
TEST(FindReps, AReferenceMadeByAStepEndsNothing) {
  Movement set;
  set.stay(1).rep(8).rep(8).rep(20, 0.4, 0.8).stay(1).rep(8).rep(8).rep(8).stay(0.5);
  test::Samples samples = test::samples_of(set);
  for (path::PathSample& s : samples) s.across_cm = 9 * std::clamp((s.time_s - 5.5) / 0.7, 0.0, 1.0);
  raise::RepFinder finder(test::protocol());
  for (const path::PathSample& s : samples) {
    finder.push(s);
    ASSERT_FALSE(finder.ending()) << s.time_s;
  }
  const RepSet found = finder.finish();
  EXPECT_EQ(found.reps.size(), 5U);
  EXPECT_EQ(found.count, 5);
  EXPECT_EQ(found.set_end.why, EndWhy::clip_end);
  EXPECT_NEAR(found.reference_height_cm.value_or(0), 8, 0.02);
}

// Three reps, a foot lifted and put `way_cm` forward and then back again, two reps more.
test::Samples put_straight_twice(double lifted_cm, double way_cm) {
  const double stepped_s = 1 + 3 * 2;
  Movement set;
  set.stay(1).rep(10).rep(10).rep(10).rep(lifted_cm, 0.4, 0.6).stay(0.5).rep(lifted_cm, 0.4, 0.6).stay(0.5);
  set.rep(10).rep(10).stay(0.5);
  test::Samples samples = test::samples_of(set);
  for (path::PathSample& s : samples) {
    s.across_cm = way_cm * std::clamp((s.time_s - stepped_s - 0.35) / 0.4, 0.0, 1.0) -
                  way_cm * std::clamp((s.time_s - stepped_s - 1.85) / 0.4, 0.0, 1.0);
  }
  return samples;
}

// Two low reps would end the set: a foot put elsewhere twice is not two low reps, and says so before it is down.
TEST(FindReps, SmallStepsDoNotEndTheSet) {
  struct Step {
    double lifted_cm;
    double way_cm;
  };
  for (const Step step : {Step{5, 10}, Step{3, 2.5}}) {
    raise::RepFinder finder(test::protocol());
    for (const path::PathSample& s : put_straight_twice(step.lifted_cm, step.way_cm)) {
      finder.push(s);
      ASSERT_FALSE(finder.ending()) << step.way_cm << " " << s.time_s;
    }
    EXPECT_EQ(finder.finish().reps.size(), 5U);
  }
  // Low reps that slip by a little, and not so low ones that slip by more.
  for (const Step step : {Step{5, 0}, Step{3, 1.5}, Step{6, 2.5}}) {
    const RepSet found = reps_in(put_straight_twice(step.lifted_cm, step.way_cm));
    EXPECT_EQ(found.set_end.why, EndWhy::low_height) << step.lifted_cm << " " << step.way_cm;
  }
}

TEST(FindReps, ARiseFarHigherThanTheReferenceIsWonderedAt) {
  EXPECT_TRUE(has_note(reps_in(standing_then(3).rep(17)), "rep-far-higher"));
  EXPECT_FALSE(has_note(reps_in(standing_then(3).rep(13)), "rep-far-higher"));
}

// Two fidgets before the set are reps by the rules, end it and leave none that counts: that must not go unsaid.
TEST(FindReps, AReferenceOfUnlikeRepsIsWonderedAt) {
  const RepSet fidgets = reps_in(Movement().stay(1).rep(2.2, 0.4, 0.4).rep(1.8, 0.4, 0.4).stay(1).rep(9).rep(9).rep(9));
  EXPECT_EQ(fidgets.count, 0);
  EXPECT_TRUE(has_note(fidgets, "reference-uneven"));
  EXPECT_TRUE(has_note(fidgets, "rep-far-higher"));
  EXPECT_FALSE(has_note(reps_in(Movement().stay(1).rep(10).rep(8).rep(7.2).rep(3)), "reference-uneven"));
  EXPECT_TRUE(has_note(reps_in(Movement().stay(1).rep(10).rep(8).rep(6.8)), "reference-uneven"));
}

// The heel of a foot that turns about a ball b ahead and v under it, from the circle's equation; of a shoe of 28 cm and
// of a large one.
TEST(FindReps, AHighRiseThatTurnsAboutTheBallIsNoStep) {
  for (const auto& [ball_cm, under_cm] : {std::pair{17.9, 5.9}, std::pair{21.0, 7.0}}) {
    const double reach_cm = std::hypot(ball_cm, under_cm);
    const double highest_cm = reach_cm * std::sin(80 * std::numbers::pi / 180) - under_cm;
    for (const double facing : {1.0, -1.0}) {
      test::Samples samples = test::samples_of(standing_then(4, highest_cm).stay(1));
      double farthest_cm = 0;
      for (path::PathSample& s : samples) {
        const double above_cm = under_cm + s.up_cm;
        const double forward_cm = ball_cm - std::sqrt(reach_cm * reach_cm - above_cm * above_cm);
        farthest_cm = std::max(farthest_cm, forward_cm);
        s.across_cm = facing * forward_cm;
      }
      EXPECT_EQ(reps_in(samples).reps.size(), 4U) << ball_cm;
      EXPECT_GT(farthest_cm, test::protocol().step_across_cm + 1);
    }
  }
}

// A step as high as such a rise, forward and back: the heel is as far ahead at its highest, and goes on.
TEST(FindReps, AHighStepIsStillAStep) {
  for (const double way_cm : {28.0, 60.0, -28.0}) {
    Movement set;
    set.stay(1).rep(10).rep(10).rep(10).stay(1).rep(12, 0.4, 0.4).stay(1);
    test::Samples samples = test::samples_of(set);
    for (path::PathSample& s : samples) {
      const double share = std::clamp((s.time_s - 8) / 0.8, 0.0, 1.0);
      s.across_cm = way_cm * share;
    }
    EXPECT_EQ(reps_in(samples).reps.size(), 3U) << way_cm;
  }
}

// A bump of 3 cm that only goes down to 0.8: under a quarter of the reference, so no rep, and no reason not to see that
// the person rests.
TEST(FindReps, ARestAfterASmallBumpIsAPause) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).rep(3, 0.5, 0.5, 0.8).stay(7).rep(10);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 4u);
  EXPECT_EQ(set.count, 3);
  EXPECT_EQ(set.set_end.why, EndWhy::pause);
  EXPECT_EQ(set.set_end.after_rep, 3);
  EXPECT_NEAR(set.set_end.t_s, set.reps[2].end_s + 5, 1e-9);
}

TEST(FindReps, StayingUpOnTheToesIsNoRest) {
  Movement m;
  m.stay(1).rep(10).rep(10).go(10, 1).stay(7).go(0, 1).rep(10).stay(1);
  const RepSet set = reps_in(m);
  EXPECT_EQ(set.count, 4);
  EXPECT_EQ(set.set_end.why, EndWhy::clip_end);
}

TEST(FindReps, BeatIsJudgedByThePeriod) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10, 1.4, 1.4).rep(10, 1, 1).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 4u);
  EXPECT_EQ(set.reps[0].on_beat, true);  // has no period: as the second
  EXPECT_EQ(set.reps[1].on_beat, true);
  EXPECT_EQ(set.reps[2].on_beat, false);  // 2.4 s
  EXPECT_EQ(set.reps[3].on_beat, false);
  EXPECT_NEAR(set.reps[2].period_s.value_or(0), 2.4, 1e-3);
  EXPECT_NEAR(set.on_beat_share.value_or(0), 1.0 / 3, 1e-12);
  EXPECT_NEAR(set.rep_period_s.value_or(0), 2.4, 1e-3);
}

TEST(FindReps, SkipsSamplesWithoutATimeOfTheirOwnOrAHeight) {
  test::Samples samples = test::samples_of(standing_then(3).stay(1));
  samples[90].time_s = samples[89].time_s;
  samples[150].up_cm = std::nan("");
  const RepSet set = reps_in(samples);
  ASSERT_EQ(set.reps.size(), 3u);
  EXPECT_NEAR(set.reps[0].height_cm, 10, 1e-3);
}

}  // namespace
}  // namespace risetrace::raise
