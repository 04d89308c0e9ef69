// When a set has ended, and what counts. First the rules on bare numbers, where a border is exact, then on movements.
#include "raise/set_end.h"

#include <gtest/gtest.h>

#include "filmed_set.h"
#include "raise/rep_set.h"

namespace risetrace::raise {
namespace {

using test::Movement;
using test::reps_in;
using test::share_s;

// Closed rises two seconds apart above a standing heel at zero.
std::vector<Rise> rises_of(const std::vector<double>& heights_cm) {
  std::vector<Rise> out;
  for (std::size_t i = 0; i < heights_cm.size(); ++i) {
    const double from_s = 2.0 * static_cast<double>(i);
    Rise rise;
    rise.start_s = from_s;
    rise.peak_s = from_s + 1;
    rise.end_s = from_s + 1.9;
    rise.peak_cm = heights_cm[i];
    rise.closed = true;
    out.push_back(rise);
  }
  return out;
}

TEST(EndOfSet, ExactlyAtTheFractionIsNotLow) {
  EXPECT_FALSE(is_low(7.5, 10, 0.75));
  EXPECT_FALSE(is_low(0.1 * 3, 0.4, 0.75));  // 0.30000000000000004 and 0.30000000000000004's neighbours
  EXPECT_FALSE(is_low(0.3, 0.4, 0.75));
  EXPECT_FALSE(is_low(9.0 * 0.9, 9.0, 0.9));
  EXPECT_TRUE(is_low(7.4999, 10, 0.75));
  EXPECT_FALSE(end_of_set(rises_of({10, 10, 10, 7.5, 7.5}), 0, 10, 0.75, 2).has_value());
  EXPECT_TRUE(end_of_set(rises_of({10, 10, 10, 7.49, 7.49}), 0, 10, 0.75, 2).has_value());
}

TEST(EndOfSet, EndsAtTheRepThatMakesTheRun) {
  const auto end = end_of_set(rises_of({10, 10, 10, 7, 9, 7, 6, 9}), 0, 10, 0.75, 2);
  ASSERT_TRUE(end.has_value());
  EXPECT_EQ(end->why, EndWhy::low_height);
  EXPECT_EQ(end->after_rep, 7);
  EXPECT_EQ(end->last_full_rep, 5);
  EXPECT_DOUBLE_EQ(end->t_s, 13.9);
}

TEST(EndOfSet, HeightsAreAboveStanding) {
  EXPECT_TRUE(end_of_set(rises_of({12, 12, 12, 9, 9}), 2, 10, 0.75, 2).has_value());
  EXPECT_FALSE(end_of_set(rises_of({12, 12, 12, 9.5, 9.5}), 2, 10, 0.75, 2).has_value());
}

TEST(EndOfSet, TakesTheRunLengthAsked) {
  const auto rises = rises_of({10, 10, 10, 7, 7, 7});
  EXPECT_EQ(end_of_set(rises, 0, 10, 0.75, 1)->after_rep, 4);
  EXPECT_EQ(end_of_set(rises, 0, 10, 0.75, 3)->after_rep, 6);
  EXPECT_FALSE(end_of_set(rises, 0, 10, 0.75, 4).has_value());
}

TEST(EndOfSet, WaitsForARepToEnd) {
  auto rises = rises_of({10, 10, 10, 7, 7});
  rises.back().closed = false;
  EXPECT_FALSE(end_of_set(rises, 0, 10, 0.75, 2).has_value());
}

TEST(EndOfSet, APauseEndsItUnlessTheRunDidAlready) {
  auto rises = rises_of({10, 10, 7, 7, 10});
  rises[1].pause_s = 8.9;
  EXPECT_EQ(end_of_set(rises, 0, 10, 0.75, 2)->why, EndWhy::pause);
  EXPECT_EQ(end_of_set(rises, 0, 10, 0.75, 2)->after_rep, 2);
  rises[1].pause_s.reset();
  rises[3].pause_s = 12.9;
  EXPECT_EQ(end_of_set(rises, 0, 10, 0.75, 2)->why, EndWhy::low_height);
  EXPECT_EQ(end_of_set(rises, 0, 10, 0.50, 2)->why, EndWhy::pause);
}

TEST(ReferenceHeight, IsTheMeanOfTheFirstReps) {
  EXPECT_DOUBLE_EQ(reference_height_cm(rises_of({10, 11, 12, 20}), 1, 3), 10);
  EXPECT_DOUBLE_EQ(reference_height_cm(rises_of({10, 11}), 0, 3), 10.5);
  EXPECT_DOUBLE_EQ(reference_height_cm(rises_of({10, 11}), 0, 1), 10);
}

TEST(RepSetOf, BordersOfBeatAndFloorBelongInside) {
  Found found;
  found.rises = rises_of({10, 10, 10, 10, 10, 10});
  found.reference_cm = 10;
  const std::vector<double> peaks_s = {1, 3, 5.3, 7, 9.31, 11};  // periods 2, 2.3, 1.7, 2.31, 1.69
  for (std::size_t i = 0; i < peaks_s.size(); ++i) found.rises[i].peak_s = peaks_s[i];
  found.rises[2].floor_cm = 2.0;
  found.rises[3].floor_cm = 2.001;
  found.set_end.after_rep = 6;
  const RepSet set = rep_set_of(found, test::protocol());
  EXPECT_EQ(set.reps[2].on_beat, true);
  EXPECT_EQ(set.reps[3].on_beat, true);
  EXPECT_EQ(set.reps[4].on_beat, false);
  EXPECT_EQ(set.reps[5].on_beat, false);
  EXPECT_TRUE(set.reps[2].lowered);
  EXPECT_FALSE(set.reps[3].lowered);
}

TEST(SetEnd, LostHeightEndsTheSetAndTheRestIsListedOnly) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).rep(9).rep(7).rep(7).rep(10).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 8u);
  EXPECT_EQ(set.set_end.why, EndWhy::low_height);
  EXPECT_EQ(set.set_end.after_rep, 6);
  EXPECT_EQ(set.set_end.last_full_rep, 4);
  EXPECT_DOUBLE_EQ(set.set_end.t_s, set.reps[5].end_s);
  EXPECT_NEAR(set.set_end.t_s, 13 - share_s(0.03, 1), 2e-3);
  EXPECT_EQ(set.set_end.frame, 100 + std::lround(set.set_end.t_s * 60));
  EXPECT_EQ(set.count, 4);
  EXPECT_FALSE(set.reps[4].counted);
  EXPECT_TRUE(set.reps[4].low);
  EXPECT_FALSE(set.reps[6].counted);
  EXPECT_FALSE(set.reps[6].low);
  EXPECT_NEAR(set.total_height_cm.value_or(0), 39, 4e-3);
  EXPECT_NEAR(set.greatest_height_cm.value_or(0), 10, 1e-3);
}

TEST(SetEnd, OneLowRepAloneCountsForNothingButTheSetGoesOn) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).rep(6).rep(10).rep(6).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 7u);
  EXPECT_EQ(set.set_end.why, EndWhy::clip_end);
  EXPECT_EQ(set.set_end.after_rep, 7);
  EXPECT_EQ(set.set_end.last_full_rep, 7);
  EXPECT_EQ(set.count, 5);
}

TEST(SetEnd, CountsAtOtherFractionsRunTheSameRule) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).rep(8).rep(8).rep(7).rep(7).rep(4).rep(4).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 10u);
  ASSERT_EQ(set.count_at.size(), 3u);
  EXPECT_DOUBLE_EQ(set.count_at[0].fraction, 0.50);
  EXPECT_EQ(set.count_at[0].count, 7);
  EXPECT_DOUBLE_EQ(set.count_at[1].fraction, 0.75);
  EXPECT_EQ(set.count_at[1].count, 5);
  EXPECT_EQ(set.count_at[1].count, set.count);
  EXPECT_DOUBLE_EQ(set.count_at[2].fraction, 0.90);
  EXPECT_EQ(set.count_at[2].count, 3);
}

TEST(SetEnd, LowRepsAmongTheFirstEndItOnceTheReferenceIsKnown) {
  Movement m;
  m.stay(1).rep(4).rep(4).rep(10).rep(10).stay(1);  // reference 6: 4 is under 4.5
  const RepSet set = reps_in(m);
  EXPECT_EQ(set.set_end.why, EndWhy::low_height);
  EXPECT_EQ(set.set_end.after_rep, 2);
  EXPECT_EQ(set.count, 0);
  EXPECT_FALSE(set.total_height_cm.has_value());
}

TEST(SetEnd, APauseEndsTheSet) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).rep(10).stay(7).rep(10).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 5u);
  EXPECT_EQ(set.set_end.why, EndWhy::pause);
  EXPECT_EQ(set.set_end.after_rep, 4);
  EXPECT_EQ(set.set_end.last_full_rep, 4);
  EXPECT_NEAR(set.set_end.t_s, set.reps[3].end_s + 5, 1e-9);
  EXPECT_EQ(set.count, 4);
  for (const CountAt& at : set.count_at) EXPECT_EQ(at.count, 4);
}

TEST(SetEnd, StandingBeforeTheFirstRepIsNoPause) {
  const RepSet set = reps_in(Movement().stay(20).rep(10).rep(10).rep(10).stay(1));
  EXPECT_EQ(set.set_end.why, EndWhy::clip_end);
  EXPECT_EQ(set.count, 3);
}

TEST(SetEnd, ARiseThatBeginsInTimeIsNoPause) {
  const double onset_s = share_s(0.03, 1);
  for (const double short_of_s : {0.05, -0.05}) {  // from the end of one rep to the start of the next, against 5 s
    Movement m;
    m.stay(1).rep(10).rep(10).rep(10).stay(5 - 2 * onset_s - short_of_s).rep(10).stay(1);
    EXPECT_EQ(reps_in(m).set_end.why, short_of_s > 0 ? EndWhy::clip_end : EndWhy::pause) << short_of_s;
  }
}

TEST(SetEnd, ASlowRiseThatBeginsInTimeIsNoPause) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).stay(4.2).rep(10, 2.5, 1).stay(1);
  EXPECT_EQ(reps_in(m).set_end.why, EndWhy::clip_end);
}

TEST(SetEnd, SwayDoesNotPutOffAPauseForEver) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).go(0.9, 1).stay(8);
  RepFinder finder(test::protocol());
  double told_s = 0;
  for (const auto& s : test::samples_of(m)) {
    finder.push(s);
    if (finder.ended() && told_s == 0) told_s = s.time_s;
  }
  ASSERT_TRUE(finder.ended().has_value());
  EXPECT_EQ(finder.ended()->why, EndWhy::pause);
  EXPECT_NEAR(finder.ended()->t_s, 7 - share_s(0.03, 1) + 5, 2e-3);
  EXPECT_NEAR(told_s, finder.ended()->t_s + 1, 0.02);
}

// The heel hovers when the pause is full, and rises a little later: the doubt is settled by where that rise began.
TEST(SetEnd, ARiseThatBeginsTooLateDoesNotUndoThePause) {
  Movement m;
  m.stay(1).rep(10).rep(10).rep(10).go(0.5, 1).stay(4.2).rep(10, 0.7, 1).stay(1);
  const RepSet set = reps_in(m);
  ASSERT_EQ(set.reps.size(), 4u);
  EXPECT_EQ(set.set_end.why, EndWhy::pause);
  EXPECT_EQ(set.set_end.after_rep, 3);
  EXPECT_NEAR(set.set_end.t_s, 7 - share_s(0.03, 1) + 5, 2e-3);
}

TEST(SetEnd, APauseAfterFewRepsFixesTheReference) {
  Movement m;
  m.stay(1).rep(10).rep(9).stay(7);
  const RepSet before = reps_in(m);
  EXPECT_EQ(before.set_end.why, EndWhy::pause);
  EXPECT_NEAR(before.reference_height_cm.value_or(0), 9.5, 1e-3);
  const RepSet after = reps_in(m.rep(20).rep(20).rep(20).stay(1));
  EXPECT_EQ(after.set_end.after_rep, 2);
  EXPECT_EQ(after.count, 2);
  EXPECT_NEAR(after.reference_height_cm.value_or(0), 9.5, 1e-3);
}

// However fast or slow, and whatever comes next: rest, another rep at once, or another low one.
TEST(SetEnd, IsSaidWithinSixTenthsOfASecond) {
  for (const double rate_hz : {10.0, 25.0, 30.0, 60.0, 240.0}) {
    for (const double seconds : {0.35, 0.5, 0.7, 0.9, 1.2, 1.5, 2.0, 3.0, 4.0}) {
      for (const int next : {0, 1, 2}) {
        Movement m;
        m.stay(1);
        for (int i = 0; i < 3; ++i) m.rep(9, seconds, seconds);
        m.rep(6, seconds, seconds).rep(5, seconds, seconds);
        const double down_s = m.end_s();
        if (next == 1) m.rep(9, seconds, seconds);
        if (next == 2) m.rep(3, seconds, seconds).rep(3, seconds, seconds);
        m.stay(1);
        RepFinder finder(test::protocol());
        double told_s = 1e9;
        for (const auto& s : test::samples_of(m, rate_hz)) {
          finder.push(s);
          if (finder.ended()) told_s = std::min(told_s, s.time_s);
        }
        ASSERT_TRUE(finder.ended().has_value());
        EXPECT_EQ(finder.ended()->after_rep, 5);
        const double truth_s = down_s - share_s(0.03, seconds);
        EXPECT_NEAR(finder.ended()->t_s, truth_s, 0.02 * seconds + 0.25 / rate_hz) << rate_hz << " " << seconds;
        const double allowed_s = rate_hz < 24 ? 0.8 : 0.6;  // two frames more where frames are so long
        EXPECT_LT(told_s, truth_s + allowed_s) << rate_hz << " fps, down in " << seconds << " s, then " << next;
      }
    }
  }
}

}  // namespace
}  // namespace risetrace::raise
