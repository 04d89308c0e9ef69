#include "raise/on_beat.h"

#include <gtest/gtest.h>

#include "filmed_set.h"

namespace risetrace::raise {
namespace {

TEST(OnBeat, ThePeriodIsTwoBeats) {
  EXPECT_EQ(on_beat(2.0, 60, 0.15), true);
  EXPECT_EQ(on_beat(2.3, 60, 0.15), true);
  EXPECT_EQ(on_beat(2.31, 60, 0.15), false);
  EXPECT_EQ(on_beat(1.0, 60, 0.15), false) << "twice as often is not on the beat";
  EXPECT_EQ(on_beat(std::nullopt, 60, 0.15), std::nullopt);
  EXPECT_EQ(on_beat(2.0, 0, 0.15), std::nullopt);
}

TEST(OnBeat, ASetAgainstTheBeatHeard) {
  test::Movement m;
  m.stay(1);
  for (int i = 0; i < 6; ++i) m.rep(10, 1, 1);
  m.stay(1);
  RepSet set = test::reps_in(test::samples_of(m));
  ASSERT_EQ(set.reps.size(), 6U);
  EXPECT_DOUBLE_EQ(*set.on_beat_share, 1);
  const RepSet before = set;
  judge_beat(set, 40, 0.15);  // 3 s a rep
  EXPECT_DOUBLE_EQ(*set.on_beat_share, 0);
  for (const Rep& rep : set.reps) EXPECT_EQ(rep.on_beat, false);
  EXPECT_EQ(set.count, before.count);
  judge_beat(set, 60, 0.15);
  for (std::size_t i = 0; i < set.reps.size(); ++i) EXPECT_EQ(set.reps[i].on_beat, before.reps[i].on_beat);
  EXPECT_EQ(set.on_beat_share, before.on_beat_share);
  judge_beat(set, 0, 0.15);
  EXPECT_FALSE(set.on_beat_share || set.reps[0].on_beat);
}

}  // namespace
}  // namespace risetrace::raise
