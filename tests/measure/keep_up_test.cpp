// A machine that is fast enough leaves nothing out; one that is not says so, leaves out whole frames and catches up.
#include "measure/keep_up.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

namespace risetrace::measure {
namespace {

struct Went {
  int measured = 0;
  int left_out = 0;
  Notes notes;
  double last_behind_s = 0.0;
  double most_behind_s = 0.0;
};

// Frames at `rate_hz` handed over in pieces of `piece_s`; each measured one takes `cost_s`, slower between two times.
Went film(double seconds, double rate_hz, double piece_s, double cost_s, double slow_cost_s, double slow_from_s,
          double slow_to_s) {
  KeepUp keep_up;
  Went went;
  double now_s = 0;
  for (int i = 0; i < seconds * rate_hz; ++i) {
    const double time_s = i / rate_hz;
    const double there_s = piece_s > 0 ? std::ceil((time_s + 1e-9) / piece_s) * piece_s : time_s;
    const bool waited = now_s < there_s;
    now_s = std::max(now_s, there_s);
    const auto verdict = keep_up.look(time_s, now_s, waited);
    went.notes.insert(went.notes.end(), verdict.notes.begin(), verdict.notes.end());
    if (verdict.measure) {
      ++went.measured;
      now_s += time_s > slow_from_s && time_s < slow_to_s ? slow_cost_s : cost_s;
    } else {
      ++went.left_out;
    }
  }
  EXPECT_EQ(keep_up.left_out(), went.left_out);
  went.last_behind_s = keep_up.behind_s();
  went.most_behind_s = keep_up.most_behind_s();
  return went;
}

RC_GTEST_PROP(KeepUp, AFastMachineLeavesNothingOut, ()) {
  const double rate_hz = *rc::gen::element(25.0, 30.0, 60.0, 120.0);
  const double piece_s = *rc::gen::element(0.0, 0.1, 0.26, 0.5);
  const double cost_s = *rc::gen::inRange(1, 90) / 100.0 / rate_hz;
  const Went went = film(20, rate_hz, piece_s, cost_s, 0, 0, 0);
  RC_ASSERT(went.left_out == 0);
  RC_ASSERT(went.notes.empty());
}

TEST(KeepUp, ASlowSpellIsSaidAndCaughtUp) {
  const Went went = film(20, 60, 0.26, 0.004, 0.04, 5, 7);
  EXPECT_GT(went.left_out, 0);
  ASSERT_EQ(std::count_if(went.notes.begin(), went.notes.end(), [](const Note& n) { return n.code == "caught-up"; }),
            1);
  ASSERT_EQ(went.notes.front().code, "frames-left-out");
  EXPECT_LT(went.last_behind_s, 0.3);
}

// Four times too slow: one frame in four is as much as it can do, and it keeps that up.
TEST(KeepUp, AMachineThatIsAlwaysTooSlowStaysNear) {
  const Went went = film(60, 60, 0, 1.0 / 18, 1.0 / 18, 0, 0);
  EXPECT_LT(went.most_behind_s, 1.5);
  EXPECT_GT(went.measured, 60 * 14);
  EXPECT_GE(
      std::count_if(went.notes.begin(), went.notes.end(), [](const Note& n) { return n.code == "frames-left-out"; }),
      1);
}

// A recording held up on its way comes all at once: that is no reason to leave any of it out.
TEST(KeepUp, ASourceThatStalledIsReadWhole) {
  KeepUp keep_up;
  double now_s = 0;
  for (int i = 0; i < 1200; ++i) {
    const double time_s = i / 60.0;
    const double there_s = time_s > 5 && time_s < 12 ? 12.0 : time_s;
    const bool waited = now_s < there_s;
    now_s = std::max(now_s, there_s);
    EXPECT_TRUE(keep_up.look(time_s, now_s, waited).measure);
    now_s += 0.005;
  }
  EXPECT_GT(keep_up.most_behind_s(), 6);
}

}  // namespace
}  // namespace risetrace::measure
