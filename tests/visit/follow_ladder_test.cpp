// What a training log makes of the next session.
#include "visit/follow_ladder.h"

#include <gtest/gtest.h>

#include "shipped.h"

namespace risetrace::visit {
namespace {

using test::shipped;

TrainingDay day(const std::string& rung, int reps, std::optional<int> during = 1, std::optional<int> morning = 0) {
  return {"2026-03-02", "strength", rung, {{reps}, {reps}, {reps}}, during, morning, ""};
}

NextStep after(std::vector<TrainingDay> days) {
  for (std::size_t i = 0; i < days.size(); ++i) days[i].date = "2026-03-0" + std::to_string(i + 1);
  const auto steps = follow_ladders({"R-017", std::move(days)}, "2026-03-09", shipped().training);
  if (steps.size() != 1) throw std::runtime_error("not one step");
  return steps.front();
}

// Passed at 3 sets of 12 to 15 (common practice), on two sessions running (ACSM 2009).
TEST(FollowLadders, MovesUpAfterTwoFullDays) {
  EXPECT_EQ(after({day("two-leg-slow", 15)}).move, Move::hold);
  EXPECT_EQ(after({day("two-leg-slow", 15), day("two-leg-slow", 14)}).move, Move::hold);
  const NextStep step = after({day("two-leg-slow", 15), day("two-leg-slow", 15)});
  EXPECT_EQ(step.move, Move::up);
  EXPECT_EQ(step.rung, "split-stance");
  EXPECT_EQ(step.why, "passed");
}

// Two full days before a step down and one after it are not two in a row on the rung.
TEST(FollowLadders, OnlyTheLastStretchOnARungCounts) {
  EXPECT_EQ(after({day("two-leg-slow", 15), day("split-stance", 6), day("two-leg-slow", 15)}).move, Move::hold);
}

TEST(FollowLadders, FewerSetsThanAskedDoNotPass) {
  TrainingDay short_day = day("two-leg-slow", 15);
  short_day.sets.pop_back();
  EXPECT_EQ(after({short_day, short_day}).move, Move::hold);
}

// Up to about 5 of 10 is tolerated, gone next morning (Silbernagel et al. 2007).
TEST(FollowLadders, PainDecidesBeforeReps) {
  EXPECT_EQ(after({day("split-stance", 15), day("split-stance", 15, 5)}).move, Move::up);
  const NextStep down = after({day("split-stance", 15), day("split-stance", 15, 6)});
  EXPECT_EQ(down.move, Move::down);
  EXPECT_EQ(down.rung, "two-leg-slow");
  EXPECT_EQ(after({day("split-stance", 15), day("split-stance", 15, 2, 1)}).move, Move::hold);
  EXPECT_EQ(after({day("split-stance", 15, 2, 1), day("split-stance", 15, 2, 1)}).move, Move::down);
  const NextStep stop = after({day("two-leg-slow", 15), day("two-leg-slow", 15, 8)});  // no rung below
  EXPECT_EQ(stop.rung, "two-leg-slow");
  EXPECT_EQ(stop.why, "pain-on-easiest");
}

TEST(FollowLadders, NobodyIsMovedUpBlind) {
  const NextStep step = after({day("two-leg-slow", 15, {}, {}), day("two-leg-slow", 15, 1, {})});
  EXPECT_EQ(step.move, Move::hold);
  EXPECT_EQ(step.why, "pain-not-told");
}

// Two or more reps over the target in the last set of two sessions running, then 2 to 10 % more (ACSM 2009):
// 10 kg become 10.2 to 11 kg.
TEST(FollowLadders, MoreLoadOnTheLoadedRung) {
  TrainingDay loaded = day("step-one-leg-loaded", 15);
  for (TrainedSet& set : loaded.sets) set.load_kg = 10;
  EXPECT_EQ(after({loaded, loaded}).move, Move::hold);
  loaded.sets.back().reps = 17;
  const NextStep step = after({loaded, loaded});
  EXPECT_EQ(step.move, Move::more_load);
  EXPECT_EQ(step.rung, "step-one-leg-loaded");
  ASSERT_TRUE(step.load_low_kg && step.load_high_kg);
  EXPECT_NEAR(*step.load_low_kg, 10.2, 1e-12);
  EXPECT_NEAR(*step.load_high_kg, 11.0, 1e-12);
}

// A lighter last set proves nothing of a heavier first.
TEST(FollowLadders, MoreLoadIsOfTheSetsThatWereDoneWithIt) {
  TrainingDay mixed = day("step-one-leg-loaded", 15);
  for (TrainedSet& set : mixed.sets) set.load_kg = 20;
  mixed.sets.back() = {17, std::nullopt, 5.0, std::nullopt};
  EXPECT_EQ(after({mixed, mixed}).move, Move::hold);
}

TEST(FollowLadders, NothingMovesUpWhileTheOtherLadderHurts) {
  TrainedSet bout;
  bout.seconds = 30;
  TrainingLog log{"R-017", {}};
  for (const char* date : {"2026-03-01", "2026-03-04"}) {
    log.days.push_back({date, "strength", "split-stance", {{15}, {15}, {15}}, 9, 0, ""});
    log.days.push_back({date, "recoil", "both-spot", {bout, bout, bout}, 0, 0, ""});
  }
  const auto steps = follow_ladders(log, "2026-03-05", shipped().training);
  ASSERT_EQ(steps.size(), 2U);
  EXPECT_EQ(steps[0].move, Move::down);
  EXPECT_EQ(steps[1].move, Move::hold);
  EXPECT_EQ(steps[1].why, "pain-elsewhere");
  EXPECT_EQ(steps[1].rung, "both-spot");
}

// A log counts for four weeks (ours), and what comes after the visit is not known at it.
TEST(FollowLadders, OldDaysAndLaterDaysSayNothing) {
  TrainingLog log{"R-017", {}};
  for (const char* date : {"2026-03-01", "2026-03-04"}) {
    log.days.push_back({date, "strength", "two-leg-slow", {{15}, {15}, {15}}, 0, 0, ""});
  }
  EXPECT_EQ(follow_ladders(log, "2026-03-29", shipped().training).at(0).move, Move::up);
  EXPECT_EQ(follow_ladders(log, "2026-03-31", shipped().training).at(0).move, Move::hold);  // one of the two is too old
  EXPECT_TRUE(follow_ladders(log, "2026-06-01", shipped().training).empty());
  EXPECT_TRUE(follow_ladders(log, "2026-02-28", shipped().training).empty());
}

TEST(FollowLadders, RecoilGoesBySeconds) {
  const auto bout = [](int seconds) {
    TrainedSet set;
    set.seconds = seconds;
    return TrainingDay{"2026-03-02", "recoil", "both-spot", {set, set, set}, 0, 0, ""};
  };
  EXPECT_EQ(after({bout(30), bout(30)}).rung, "both-travel");
  EXPECT_EQ(after({bout(30), bout(25)}).rung, "both-spot");
}

}  // namespace
}  // namespace risetrace::visit
