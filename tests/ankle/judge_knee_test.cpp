// The knee rep by rep, on legs drawn by hand.
#include "ankle/judge_knee.h"

#include <gtest/gtest.h>

#include "ankle/made_leg.h"
#include "ankle/read_angles.h"
#include "ankle/tell_facing.h"

namespace risetrace::ankle {
namespace {

using test::MadeLeg;

const auto always = [](double) { return true; };

model::RaiseProtocol protocol() {
  model::RaiseProtocol p;
  p.knee_straight_most_deg = 15;
  p.knee_bent_least_deg = 45;
  p.knee_bent_most_deg = 60;
  return p;
}

// Reps of two seconds from one second on.
raise::RepSet reps_of(int count) {
  raise::RepSet set;
  for (int i = 0; i < count; ++i) {
    raise::Rep rep;
    rep.n = i + 1;
    rep.start_s = 1 + 2 * i;
    rep.peak_s = 2 + 2 * i;
    rep.end_s = 3 + 2 * i;
    rep.height_cm = 10;
    set.reps.push_back(rep);
  }
  set.set_end.after_rep = count;
  return set;
}

template <typename KneeAt, typename SeenAt>
KneeSet judged(const KneeAt& knee_at, const SeenAt& seen_at, Knee asked, int reps = 5, double forward = 1) {
  const PlaneMap map(test::made_scale(), 1000, 1000, test::made_cards(), test::made_rules());
  const auto leg = [&](double t) {
    const double knee = knee_at(t);
    return MadeLeg{.shank_deg = 3 + 0.6 * knee, .knee_deg = knee, .forward = forward};
  };
  const LegAngles angles = read_angles(test::made_tracks(2 * reps + 2, leg, seen_at), {}, map, {forward, 0.035, 0.08});
  return judge_knee(angles, reps_of(reps), asked, map, protocol(), test::made_rules());
}

}  // namespace

TEST(JudgeKnee, StraightAndBentAreTold) {
  for (const double forward : {1.0, -1.0}) {
    const KneeSet straight = judged([](double) { return 4.0; }, always, Knee::straight, 5, forward);
    EXPECT_NEAR(*straight.mean_deg, 4, 1e-9);
    EXPECT_NEAR(*straight.drift_deg, 0, 1e-9);
    for (const RepKnee& rep : straight.reps) EXPECT_EQ(rep.held, std::optional(true));
    EXPECT_TRUE(straight.notes.empty());
    const KneeSet bent = judged([](double) { return 50.0; }, always, Knee::bent, 5, forward);
    EXPECT_NEAR(*bent.mean_deg, 50, 1e-9);
    for (const RepKnee& rep : bent.reps) EXPECT_EQ(rep.held, std::optional(true));
    const KneeSet unasked = judged([](double) { return 30.0; }, always, Knee::not_stated, 5, forward);
    for (const RepKnee& rep : unasked.reps) EXPECT_EQ(rep.held, std::nullopt);
    EXPECT_TRUE(unasked.notes.empty());
  }
}

// A knee that bends by 5 degrees a rep, evenly: means at 10, 15, 20, 25, 30, the line through them rises by 20.
TEST(JudgeKnee, DriftIsALineThroughTheReps) {
  const KneeSet set = judged([](double t) { return 10 + 2.5 * (t - 2); }, always, Knee::straight);
  EXPECT_NEAR(*set.reps[0].mean_deg, 10, 0.05);
  EXPECT_NEAR(*set.reps[4].mean_deg, 30, 0.05);
  EXPECT_NEAR(*set.drift_deg, 20, 0.05);
  EXPECT_LT(*set.drift_deg_u, 0.1);
  EXPECT_EQ(set.reps[0].held, std::optional(true));  // 12.5 at most
  EXPECT_EQ(set.reps[4].held, std::optional(false));
  ASSERT_EQ(set.notes.size(), 1U);
  EXPECT_EQ(set.notes[0].code, "knee-not-held");
  EXPECT_NE(set.notes[0].text.find("reps 3-5"), std::string::npos) << set.notes[0].text;
}

TEST(JudgeKnee, ADoubtfulMissOfTheLimitIsNoMiss) {
  const KneeSet near = judged([](double) { return 16.0; }, always, Knee::straight);
  EXPECT_EQ(near.reps[0].held, std::optional(true));  // 16 ± 3.6
  const KneeSet far = judged([](double) { return 24.0; }, always, Knee::straight);
  EXPECT_EQ(far.reps[0].held, std::optional(false));
  EXPECT_EQ(judged([](double) { return 30.0; }, always, Knee::bent).reps[0].held, std::optional(false));
  EXPECT_EQ(judged([](double) { return 75.0; }, always, Knee::bent).reps[0].held, std::optional(false));
}

// Three ends and the knee's twice: 1 cm over 40 and 41 cm of limb; derived here, with the depth left aside.
TEST(JudgeKnee, UncertaintyIsMostlyTheLandmarks) {
  const double per_cm = 1 / test::rad_per_deg;
  const double wanted = per_cm * std::hypot(1 / 40.0, 1 / 41.0, 1 / 40.0 + 1 / 41.0);
  const KneeSet set = judged([](double) { return 0.0; }, always, Knee::straight);
  EXPECT_NEAR(*set.mean_deg_u, wanted, 0.15);
}

TEST(JudgeKnee, ARepHardlySeenIsNotTold) {
  const KneeSet set = judged([](double) { return 5.0; }, [](double t) { return t < 3.2 || t > 4.5; }, Knee::straight);
  EXPECT_TRUE(set.reps[0].mean_deg);
  EXPECT_FALSE(set.reps[1].mean_deg);
  EXPECT_EQ(set.reps[1].held, std::nullopt);
  EXPECT_NEAR(*set.mean_deg, 5, 1e-9);
}

TEST(JudgeKnee, FewRepsHaveNoDrift) {
  EXPECT_FALSE(judged([](double) { return 5.0; }, always, Knee::straight, 3).drift_deg);
}

TEST(TellFacing, TheHeelGoesForwardAsItRises) {
  const raise::RepSet set = reps_of(3);
  for (const double forward : {1.0, -1.0}) {
    path::Path path;
    for (int frame = 0; frame < 240; ++frame) {
      const double t = frame / 30.0;
      const double up = t < 1 || t > 7 ? 0 : 5 - 5 * std::cos(std::numbers::pi * (t - 1));
      path.samples.push_back({frame, t, up, up, forward * 0.5 * up, true});
    }
    EXPECT_EQ(facing_of_raises(path, set), forward);
    for (path::PathSample& s : path.samples) s.across_cm *= 0.05;
    EXPECT_EQ(facing_of_raises(path, set), std::nullopt);
  }
}

}  // namespace risetrace::ankle
