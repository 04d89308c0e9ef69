// The sole followed through a small rendered clip, against the clearance it was rendered with.
#include "sole/follow_sole.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "sole/small_hops.h"

namespace risetrace::sole {
namespace {

using test::Filmed;
using test::filmed;
using test::followed;
using test::small_hops;

struct Match {
  double bias_px = 0;
  double rms_px = 0;
  int count = 0;
  int missing = 0;
};

// Over frames from `from_s` to `to_s` about each of the events.
Match match(const Clearance& clearance, const synth::Truth& truth, const std::vector<double>& events_s, double from_s,
            double to_s) {
  Match out;
  for (std::size_t i = 0; i < truth.frames.size(); ++i) {
    const auto& sole = *truth.frames[i].sole;
    const auto about = [&](double t) { return sole.sole_s >= t + from_s && sole.sole_s <= t + to_s; };
    if (std::none_of(events_s.begin(), events_s.end(), about)) continue;
    const ClearanceSample& s = clearance.samples[i];
    if (!s.seen) {
      ++out.missing;
      continue;
    }
    const double error = s.up_px - sole.up_px;
    out.bias_px += error;
    out.rms_px += error * error;
    ++out.count;
  }
  out.bias_px /= out.count;
  out.rms_px = std::sqrt(out.rms_px / out.count);
  testing::Test::RecordProperty("bias_px", std::to_string(out.bias_px));
  testing::Test::RecordProperty("rms_px", std::to_string(out.rms_px));
  testing::Test::RecordProperty("missing", out.missing);
  return out;
}

std::vector<double> touchdowns_s(const synth::Truth& truth) {
  std::vector<double> times;
  for (const auto& hop : truth.hops->hops) times.push_back(hop.touchdown_s);
  return times;
}
std::vector<double> takeoffs_s(const synth::Truth& truth) {
  std::vector<double> times{truth.hops->first_takeoff_s};
  for (const auto& hop : truth.hops->hops) {
    if (hop.takeoff_s) times.push_back(*hop.takeoff_s);
  }
  return times;
}

class FollowedFeet : public testing::TestWithParam<double> {};

TEST_P(FollowedFeet, StandWhereTheyWereRendered) {
  const Filmed film = filmed(small_hops(GetParam()));
  const Match standing = match(followed(film), film.truth, touchdowns_s(film.truth), 0.01, 0.12);
  EXPECT_GT(standing.count, 40);
  EXPECT_EQ(standing.missing, 0);
  EXPECT_LT(standing.rms_px, 0.2);
}

TEST_P(FollowedFeet, LandAsTheyWereRendered) {
  const Filmed film = filmed(small_hops(GetParam()));
  const Match landing = match(followed(film), film.truth, touchdowns_s(film.truth), -0.015, 0.01);
  EXPECT_GE(landing.count, 10);
  EXPECT_LE(landing.missing, 1);
  EXPECT_LT(std::abs(landing.bias_px), 0.25);
  EXPECT_LT(landing.rms_px, 0.4);
}

TEST_P(FollowedFeet, LeaveAsTheyWereRendered) {
  const Filmed film = filmed(small_hops(GetParam()));
  const Match leaving = match(followed(film), film.truth, takeoffs_s(film.truth), -0.01, 0.015);
  EXPECT_GE(leaving.count, 8);
  EXPECT_LE(leaving.missing, 1);
  EXPECT_LT(std::abs(leaving.bias_px), 0.35);
  EXPECT_LT(leaving.rms_px, 0.5);
}

INSTANTIATE_TEST_SUITE_P(ToeRoll, FollowedFeet, testing::Values(0.0, 0.015, 0.03),
                         [](const auto& of) { return std::to_string(std::lround(1000 * of.param)) + "ms"; });

// The same film in a mirror: the same clearance, on the ground and at landings. (High up, and where the toes roll off,
// the two differ by more: 0.6 px over all frames.)
TEST(FollowSole, FacingLeftIsTheSame) {
  const Filmed film = filmed(small_hops(0.015));
  const Clearance right = followed(film);
  const Clearance left = followed(filmed(small_hops(0.015), true), true);
  ASSERT_EQ(right.samples.size(), left.samples.size());
  double sum = 0;
  int both = 0;
  int either = 0;
  for (std::size_t i = 0; i < right.samples.size(); ++i) {
    const double t = film.truth.frames[i].sole->sole_s;
    const auto lands = touchdowns_s(film.truth);
    if (std::none_of(lands.begin(), lands.end(), [&](double td) { return t > td - 0.02 && t < td + 0.12; })) continue;
    either += right.samples[i].seen || left.samples[i].seen ? 1 : 0;
    if (!right.samples[i].seen || !left.samples[i].seen) continue;
    sum += std::pow(right.samples[i].up_px - left.samples[i].up_px, 2);
    ++both;
  }
  RecordProperty("rms_px", std::to_string(std::sqrt(sum / both)));
  EXPECT_GT(both, 40);
  EXPECT_GE(both, 0.95 * either);
  EXPECT_LT(std::sqrt(sum / both), 0.3);
}

// Heel raises: the heel goes up and down, the forefoot stays. Nothing sets it off from the floor then, so it is either
// seen on the floor or not at all.
TEST(FollowSole, FeetThatNeverLeaveTheFloorShowNoClearance) {
  synth::Scene scene = small_hops(0.015);
  scene.movement.hops.reset();
  scene.movement.lead_in_s = 0.3;
  scene.movement.tail_s = 0.3;
  scene.movement.reps.assign(2, {8, 0, 0, 0.3, 0, 0.3});
  const Filmed film = filmed(scene);
  const Clearance clearance = followed(film);
  double highest_px = 0;
  int seen = 0;
  for (const ClearanceSample& s : clearance.samples) {
    if (!s.seen) continue;
    ++seen;
    highest_px = std::max(highest_px, s.up_px);
  }
  RecordProperty("count", seen);
  RecordProperty("highest_px", std::to_string(highest_px));
  EXPECT_LT(highest_px, 0.25 * film.truth.px_per_cm) << "off the floor from a quarter of a cm on";
}

// The picture stays for 80 ms after a take-off while the heel's sticker goes up: that shoe would have grown longer.
TEST(FollowSole, AShoeDoesNotStandOnTheFloorWithItsHeelHighUp) {
  Filmed film = filmed(small_hops(0.015));
  const double left_s = takeoffs_s(film.truth)[1];
  const clip::Frame* standing = nullptr;
  std::vector<std::size_t> false_ones;
  for (std::size_t i = 0; i < film.frames.size(); ++i) {
    clip::Frame& frame = film.frames[i];
    if (frame.time_s < left_s - 0.01) standing = &frame;
    if (frame.time_s < left_s || frame.time_s > left_s + 0.08) continue;
    frame.luma = standing->luma;
    frame.owner = standing->owner;
    if (film.truth.frames[i].sole->up_px > 1.5 * film.truth.px_per_cm) false_ones.push_back(i);
  }
  ASSERT_GE(false_ones.size(), 5U);
  const Clearance clearance = followed(film);
  for (const std::size_t i : false_ones) {
    const ClearanceSample& sample = clearance.samples[i];
    EXPECT_FALSE(sample.seen && sample.up_px < film.truth.px_per_cm) << sample.up_px;
  }
}

TEST(FollowSole, NoHeelNoSole) {
  Filmed film = filmed(small_hops(0.015));
  film.frames.resize(30);
  SoleFollower follower({8, 1, 300, 200});
  for (const clip::Frame& frame : film.frames) follower.push(frame, std::nullopt, std::nullopt);
  const Clearance clearance = follower.finish();
  ASSERT_EQ(clearance.samples.size(), 30U);
  for (const ClearanceSample& s : clearance.samples) EXPECT_FALSE(s.seen);
}

}  // namespace
}  // namespace risetrace::sole
