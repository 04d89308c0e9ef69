#include "clip/steps.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "clip/account.h"
#include "clip/orientation.h"

namespace risetrace::clip {
namespace {

// Exact times rounded to a clock of `ticks_per_s`, pictures `left_out` removed.
std::vector<std::int64_t> ticks_of(double rate_hz, double ticks_per_s, int count,
                                   const std::vector<int>& left_out = {}) {
  std::vector<std::int64_t> ticks;
  for (int i = 0; i < count; ++i) {
    if (std::find(left_out.begin(), left_out.end(), i) != left_out.end()) continue;
    ticks.push_back(std::llround(i / rate_hz * ticks_per_s));
  }
  return ticks;
}

TEST(Steps, RoundingToAMillisecondIsNeitherUnevenNorAGap) {
  for (const double rate_hz : {24.0, 25.0, 30000.0 / 1001.0, 30.0, 50.0, 60000.0 / 1001.0, 60.0, 120.0, 240.0, 480.0}) {
    const StepFacts facts = study_steps(ticks_of(rate_hz, 1000.0, 600));
    EXPECT_FALSE(facts.uneven) << rate_hz;
    EXPECT_EQ(facts.frames_missing, 0) << rate_hz;
    EXPECT_NEAR(1000.0 / facts.step_ticks, rate_hz, 0.005 * rate_hz);
  }
}

RC_GTEST_PROP(Steps, FramesLeftOutAreCounted, ()) {
  const double rate_hz = *rc::gen::element(30.0, 59.94, 120.0, 240.0);
  const double ticks_per_s = *rc::gen::element(1000.0, 15360.0, 90000.0);
  const int first = *rc::gen::inRange(10, 100);
  const int length = *rc::gen::inRange(1, 9);
  std::vector<int> left_out{200};
  for (int i = 0; i < length; ++i) left_out.push_back(first + i);
  const StepFacts facts = study_steps(ticks_of(rate_hz, ticks_per_s, 300, left_out));
  RC_ASSERT(facts.frames_missing == length + 1);
  RC_ASSERT(facts.first_gap_at == first - 1);
}

TEST(Steps, UnevenOverTwoPercentOnly) {
  const auto wavering = [](int off) {
    std::vector<std::int64_t> ticks{0};
    for (int i = 0; i < 100; ++i) ticks.push_back(ticks.back() + 1500 + (i % 2 == 0 ? off : -off));
    return study_steps(ticks).uneven;
  };
  EXPECT_FALSE(wavering(29));  // 2 % of 1500 is 30, and a tick is allowed for rounding
  EXPECT_TRUE(wavering(32));
}

TEST(Steps, FewFramesAndExtremeTimes) {
  EXPECT_EQ(study_steps({}).step_ticks, 0.0);
  EXPECT_EQ(study_steps({5}).step_ticks, 0.0);
  EXPECT_EQ(study_steps({5, 9}).step_ticks, 4.0);
  const StepFacts wild = study_steps({INT64_MIN + 1, 0, 1, 2, 3, INT64_MAX});
  EXPECT_GT(wild.frames_missing, 0);
}

Account account_with(double rate_hz, std::optional<double> capture_hz) {
  Account account(ClipFacts{}, 1.0 / 90000.0);
  account.set_clock(ticks_of(rate_hz, 90000.0, 100), capture_hz);
  return account;
}

TEST(Account, StretchIsCaptureRateOverFileRate) {
  EXPECT_DOUBLE_EQ(account_with(30.0, 240.0).facts().stretch, 8.0);
  EXPECT_DOUBLE_EQ(account_with(30.0, 240.0).facts().frame_rate_hz, 240.0);
  EXPECT_DOUBLE_EQ(account_with(30.0, std::nullopt).facts().stretch, 1.0);
  EXPECT_DOUBLE_EQ(account_with(240.0, 240.0).facts().stretch, 1.0);
  EXPECT_DOUBLE_EQ(account_with(240.0, 230.0).facts().stretch, 1.0);  // within 5 %
  EXPECT_NE(account_with(240.0, 226.0).facts().stretch, 1.0);
}

TEST(Account, LeavesOutWhatDoesNotRise) {
  Account account(ClipFacts{}, 0.001);
  EXPECT_EQ(account.time_of(100, 10), 0.0);
  EXPECT_EQ(account.time_of(110, 10), 0.010);
  EXPECT_FALSE(account.time_of(110, 10));
  EXPECT_FALSE(account.time_of(90, 10));
  EXPECT_EQ(account.time_of(120, 10), 0.020);
  account.finish();
  const ClipFacts facts = account.facts();
  EXPECT_EQ(facts.frames, 3);
  EXPECT_EQ(facts.steps_zero, 2);
  EXPECT_TRUE(facts.timing_irregular);
  EXPECT_DOUBLE_EQ(facts.duration_s, 0.030);
  ASSERT_EQ(facts.notes.size(), 1U);
  EXPECT_EQ(facts.notes[0].code, "time-steps-zero");
}

// A matrix with entries 16.16 and 2.30, ISO/IEC 14496-12 section 6.2.2; 0x10000 is 1.
TEST(Matrix, QuarterTurnsAndMirrors) {
  constexpr std::int32_t one = 0x10000;
  const auto read = [](std::int32_t a, std::int32_t b, std::int32_t c, std::int32_t d) {
    return read_matrix({a, b, 0, c, d, 0, 0, 0, 1 << 30});
  };
  const MatrixReading quarter = read(0, one, -one, 0);  // what phones write for a portrait clip: turn clockwise
  EXPECT_EQ(quarter.orientation.quarter_turns_cw, 1);
  EXPECT_FALSE(quarter.orientation.mirrored);
  EXPECT_EQ(read(-one, 0, 0, -one).orientation.quarter_turns_cw, 2);
  EXPECT_EQ(read(0, -one, one, 0).orientation.quarter_turns_cw, 3);
  const MatrixReading mirror = read(-one, 0, 0, one);
  EXPECT_EQ(mirror.orientation.quarter_turns_cw, 0);
  EXPECT_TRUE(mirror.orientation.mirrored);
  const MatrixReading upside_down = read(one, 0, 0, -one);  // top and bottom swapped: mirrored, then half a turn
  EXPECT_EQ(upside_down.orientation.quarter_turns_cw, 2);
  EXPECT_TRUE(upside_down.orientation.mirrored);
  EXPECT_TRUE(upside_down.exact);
  EXPECT_FALSE(read(46341, 46341, -46341, 46341).exact);  // 45 degrees
  EXPECT_FALSE(read(0, 0, 0, 0).exact);
}

}  // namespace
}  // namespace risetrace::clip
