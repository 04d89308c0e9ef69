#include "path/build_path.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

#include "math/butterworth.h"
#include "math/statistics.h"

namespace risetrace::path {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double px_per_cm = 20;

// Upright pixels of a picture whose middle is at (500, 800), seen square on.
scale::Scale square_on() {
  scale::Scale scale;
  scale.from = scale::ScaleFrom::given;
  scale.px_per_cm = px_per_cm;
  scale.cm_from_px =
      math::Homography{{1 / px_per_cm, 0, -500 / px_per_cm, 0, -1 / px_per_cm, 800 / px_per_cm, 0, 0, 1}};
  return scale;
}

sticker::TrackSample heel(std::int64_t frame, double time_s, double up_cm, bool seen = true) {
  return {frame, time_s, {540, 800 - up_cm * px_per_cm}, seen, false, seen ? 1.0 : 0.0};
}

// One rise of 10 cm: raised cosine up, held, and down again, from `start_s` on.
struct Rise {
  double start_s = 1.0;
  double up_s = 1.0;
  double hold_s = 0.0;
  [[nodiscard]] double end_s() const { return start_s + 2 * up_s + hold_s; }
  double operator()(double t) const {
    if (t <= start_s || t >= end_s()) return 0;
    const double from_middle = std::max(0.0, std::abs(t - (start_s + end_s()) / 2) - hold_s / 2);
    return 5 * (1 + std::cos(pi * from_middle / up_s));
  }
};

using Track = std::vector<sticker::TrackSample>;

Track filmed(const std::function<double(double)>& height, double rate_hz, double seconds) {
  Track out;
  for (int i = 0; i <= seconds * rate_hz; ++i) out.push_back(heel(i, i / rate_hz, height(i / rate_hz)));
  return out;
}

std::vector<PathSample> path_of(const Track& track, double rate_hz, double cutoff_hz = 10) {
  PathBuilder builder(square_on(), {cutoff_hz, rate_hz});
  std::vector<PathSample> out;
  for (const auto& sample : track) {
    for (const PathSample& got : builder.push(sample)) out.push_back(got);
  }
  for (const PathSample& got : builder.finish()) out.push_back(got);
  return out;
}

double greatest_error_cm(const std::vector<PathSample>& path, const std::function<double(double)>& height) {
  double worst = 0;
  for (const PathSample& s : path) worst = std::max(worst, std::abs(s.up_cm - height(s.time_s)));
  return worst;
}

TEST(PathBuilder, GivesEveryFrameOnceInOrder) {
  for (const double rate_hz : {10.0, 25.0, 29.97, 60.0, 240.0}) {
    const Track track = filmed(Rise{}, rate_hz, 4);
    const auto path = path_of(track, rate_hz);
    ASSERT_EQ(path.size(), track.size()) << rate_hz;
    for (std::size_t i = 0; i < path.size(); ++i) {
      EXPECT_EQ(path[i].frame, track[i].frame);
      EXPECT_EQ(path[i].time_s, track[i].time_s);
      EXPECT_TRUE(path[i].seen);
      EXPECT_NEAR(path[i].up_raw_cm, Rise{}(track[i].time_s), 1e-9);
      EXPECT_NEAR(path[i].across_cm, 2.0, 1e-9);
    }
  }
}

TEST(PathBuilder, MapsThroughATiltedCard) {
  scale::Scale scale;
  scale.cm_from_px = math::Homography{{0.05, 0.002, -20, 0.001, -0.048, 40, 1e-5, 2e-5, 1}};
  PathBuilder builder(scale, {});
  builder.push({0, 0.0, {530, 700}, true, false, 1.0});
  const auto path = builder.finish();
  ASSERT_EQ(path.size(), 1u);
  const Point expected = scale.cm_from_px->map({530, 700});
  EXPECT_DOUBLE_EQ(path[0].up_raw_cm, expected.y);
  EXPECT_DOUBLE_EQ(path[0].across_cm, expected.x);
  EXPECT_NEAR(path[0].up_cm, expected.y, 1e-12);
}

TEST(PathBuilder, KeepsItsPromiseOfDelay) {
  for (const double rate_hz : {10.0, 15.0, 24.0, 25.0, 29.97, 30.0, 60.0, 120.0, 240.0}) {
    PathBuilder builder(square_on(), {10, rate_hz});
    EXPECT_LE(builder.lag_s(), 0.35 + 1e-12) << rate_hz;
    std::size_t out = 0;
    for (int i = 0; i < 3 * rate_hz; ++i) {
      out += builder.push(heel(i, i / rate_hz, std::sin(i))).size();
      const double due_s = i / rate_hz - builder.lag_s();
      const auto due = static_cast<std::size_t>(std::max(0.0, std::floor(due_s * rate_hz + 1 - 1e-6)));
      ASSERT_GE(out, due) << rate_hz << " fps, frame " << i;
    }
  }
}

// What a live view gives up for knowing sooner: docs/live.md states it.
TEST(PathBuilder, AShorterLagCostsHundredthsOfAMillimetre) {
  for (const double rate_hz : {30.0, 60.0}) {
    std::mt19937 random(7);
    std::normal_distribution<double> noise(0, 0.02);
    const Rise rise{1.0, 0.8, 0.0};
    PathBuilder whole(square_on(), {.frame_rate_hz = rate_hz});
    PathBuilder early(square_on(), {.frame_rate_hz = rate_hz, .lag_cycles = 0.75});
    EXPECT_LT(early.lag_s(), whole.lag_s() - 0.06);
    std::vector<PathSample> a;
    std::vector<PathSample> b;
    for (const auto& sample : filmed([&](double t) { return rise(t) + noise(random); }, rate_hz, 4)) {
      for (const PathSample& got : whole.push(sample)) a.push_back(got);
      for (const PathSample& got : early.push(sample)) b.push_back(got);
    }
    for (const PathSample& got : whole.finish()) a.push_back(got);
    for (const PathSample& got : early.finish()) b.push_back(got);
    ASSERT_EQ(a.size(), b.size());
    double worst = 0;
    for (std::size_t i = 0; i < a.size(); ++i) worst = std::max(worst, std::abs(a[i].up_cm - b[i].up_cm));
    RecordProperty("worst_cm_at_" + std::to_string(static_cast<int>(rate_hz)), std::to_string(worst));
    EXPECT_LT(worst, 0.001) << rate_hz;
  }
}

TEST(PathBuilder, LowersTheCutoffOnlyWhereFramesAreTooFew) {
  EXPECT_DOUBLE_EQ(PathBuilder(square_on(), {10, 60}).cutoff_hz(), 10);
  EXPECT_DOUBLE_EQ(PathBuilder(square_on(), {10, 25}).cutoff_hz(), 10);
  EXPECT_DOUBLE_EQ(PathBuilder(square_on(), {10, 20}).cutoff_hz(), 8);
  EXPECT_DOUBLE_EQ(PathBuilder(square_on(), {10, 10}).cutoff_hz(), 4);
}

// The whole-signal filter is the reference: even frames, so that the grid is the frames or a multiple of them.
TEST(PathBuilder, AgreesWithTheWholeSignalFilter) {
  for (const double rate_hz : {120.0, 240.0}) {
    std::mt19937 random(7);
    std::normal_distribution<double> noise(0, 0.005);
    const Rise rise{1.0, 0.35, 0.3};
    Track track;
    std::vector<double> raw;
    for (int i = 0; i <= 4 * rate_hz; ++i) {
      raw.push_back(rise(i / rate_hz) + noise(random));
      track.push_back(heel(i, i / rate_hz, raw.back()));
    }
    const auto whole =
        math::filter_both_ways(math::butterworth_low_pass(10, rate_hz), raw, static_cast<int>(rate_hz / 4));
    const auto path = path_of(track, rate_hz);
    ASSERT_EQ(path.size(), whole.size());
    for (std::size_t i = 0; i < whole.size(); ++i)
      EXPECT_NEAR(path[i].up_cm, whole[i], 1e-4 * 10) << rate_hz << " " << i;
  }
}

// Figures of docs/method-reps.md. Derived there: the shape's own corners cost at most 0.16 jump of acceleration /
// corner^2.
TEST(PathBuilder, DoesNotShaveThePeak) {
  for (const double rate_hz : {60.0, 120.0, 240.0}) {
    for (const Rise rise : {Rise{1, 1, 0}, Rise{1, 1, 0.3}, Rise{1, 0.35, 0}}) {
      double top_cm = 0;
      for (const PathSample& s : path_of(filmed(rise, rate_hz, 5), rate_hz)) top_cm = std::max(top_cm, s.up_cm);
      EXPECT_NEAR(top_cm, 10, 0.005) << rate_hz << " fps, up in " << rise.up_s << " s, held " << rise.hold_s;
    }
  }
}

// Derived: where the acceleration jumps by J, as it does at the foot of these rises, a two-pass filter of corner w
// (2 pi x 12.46 Hz) is off by at most 0.161 J / w^2: 0.0013 cm for a second up, 0.0106 cm for 0.35 s. The rest of the
// allowance is for drawing the curve between the frames.
TEST(PathBuilder, FollowsARiseFilmedAtAnyRate) {
  const Rise quick{1, 0.35, 0};
  for (const double rate_hz : {25.0, 30.0, 60.0}) {
    EXPECT_LT(greatest_error_cm(path_of(filmed(Rise{}, rate_hz, 5), rate_hz), Rise{}), 0.0014) << rate_hz;
  }
  EXPECT_LT(greatest_error_cm(path_of(filmed(quick, 25, 5), 25), quick), 0.0150);
  EXPECT_LT(greatest_error_cm(path_of(filmed(quick, 30, 5), 30), quick), 0.0115);
  EXPECT_LT(greatest_error_cm(path_of(filmed(quick, 60, 5), 60), quick), 0.0120);
  EXPECT_LT(greatest_error_cm(path_of(filmed(Rise{}, 10, 5), 10), Rise{}), 0.0150);
}

// White noise through a two-pass filter of equivalent width 0.833 x 12.46 Hz (derived: the integral of 1/(1+x^4)^2 is
// 3 pi / (8 sqrt 2)), at 240 frames per second: sd falls to sqrt(2 x 10.38 / 240) = 0.294.
TEST(PathBuilder, QuietensNoiseAsMuchAsTheFilterShould) {
  std::mt19937 random(11);
  std::normal_distribution<double> noise(0, 0.01);
  Track track;
  for (int i = 0; i < 240 * 60; ++i) track.push_back(heel(i, i / 240.0, noise(random)));
  double sum = 0;
  const auto path = path_of(track, 240);
  for (const PathSample& s : path) sum += s.up_cm * s.up_cm;
  EXPECT_NEAR(std::sqrt(sum / static_cast<double>(path.size())) / 0.01, 0.294, 0.012);
}

TEST(PathBuilder, TakesUnevenFrames) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> jitter(-0.35, 0.35);
  for (const double rate_hz : {30.0, 60.0}) {
    Track track;
    for (int i = 0; i < 5 * rate_hz; ++i) {
      const double t = (i + jitter(random)) / rate_hz;
      track.push_back(heel(i, t, Rise{}(t)));
    }
    EXPECT_LT(greatest_error_cm(path_of(track, rate_hz), Rise{}), 0.004) << rate_hz;
  }
}

TEST(PathBuilder, BridgesAShortGapAtThePeakWithoutShavingIt) {
  Track track = filmed(Rise{}, 60, 5);
  for (std::size_t i = 118; i <= 122; ++i) track[i] = heel(static_cast<std::int64_t>(i), track[i].time_s, -30, false);
  const auto path = path_of(track, 60);
  ASSERT_EQ(path.size(), track.size());
  EXPECT_FALSE(path[120].seen);
  EXPECT_NEAR(path[120].up_cm, 10, 0.01);
  EXPECT_NEAR(path[120].up_raw_cm, 10, 0.01);
}

// From half-way up a quick rise into its hold: the slope at the start of the gap is 5 times the chord's.
TEST(PathBuilder, BridgesALongGapWithoutOvershoot) {
  const Rise quick{1.0, 0.35, 1.0};
  Track track = filmed(quick, 60, 4);
  for (std::size_t i = 71; i <= 109; ++i) track[i] = heel(static_cast<std::int64_t>(i), track[i].time_s, -30, false);
  const auto path = path_of(track, 60);
  ASSERT_EQ(path.size(), track.size());
  for (std::size_t i = 71; i <= 109; ++i) {
    EXPECT_FALSE(path[i].seen);
    EXPECT_GE(path[i].up_raw_cm, path[i - 1].up_raw_cm) << i;
    EXPECT_LE(path[i].up_raw_cm, path[110].up_raw_cm) << i;
  }
}

// Two frames 0.5 ms apart that differ by 0.1 mm, then a gap of 0.1 s: taken as a slope they would throw the bridge by
// centimetres.
TEST(PathBuilder, IsNotThrownByFramesCloseTogether) {
  Track track;
  for (int i = 0; i < 60; ++i) track.push_back(heel(i, i / 60.0, 1.0));
  track.push_back(heel(60, 59 / 60.0 + 0.0005, 1.01));
  for (int i = 61; i < 120; ++i) track.push_back(heel(i, (i + 5) / 60.0, 1.0));
  for (const PathSample& s : path_of(track, 60)) EXPECT_NEAR(s.up_cm, 1.0, 0.02) << s.time_s;
}

TEST(PathBuilder, SaysNothingOfFramesBeforeAndAfterTheStickerWasSeen) {
  Track track = filmed(Rise{}, 60, 3);
  for (std::size_t i = 0; i < 10; ++i) track[i].seen = false;
  for (std::size_t i = 170; i < track.size(); ++i) track[i].seen = false;
  const auto path = path_of(track, 60);
  ASSERT_FALSE(path.empty());
  EXPECT_EQ(path.front().frame, 10);
  EXPECT_EQ(path.back().frame, 169);
}

TEST(PathBuilder, TakesFramesOfTheSameTime) {
  Track track = filmed(Rise{}, 60, 4);
  track[100].time_s = track[99].time_s;
  track[130].time_s = track[129].time_s + 1e-7;
  track[130].px = track[129].px;
  const auto path = path_of(track, 60);
  ASSERT_EQ(path.size(), track.size());
  EXPECT_LT(greatest_error_cm(path, Rise{}), 0.02);
}

TEST(PathBuilder, TakesNoneOneAndTwoFrames) {
  EXPECT_TRUE(path_of({}, 60).empty());
  EXPECT_NEAR(path_of({heel(0, 2.0, 3.25)}, 60).at(0).up_cm, 3.25, 1e-9);
  const auto two = path_of({heel(0, 2.0, 3.25), heel(1, 2.0 + 1.0 / 60, 3.5)}, 60);
  ASSERT_EQ(two.size(), 2u);
  EXPECT_NEAR(two[0].up_cm, 3.25, 0.2);
  EXPECT_NEAR(two[1].up_cm, 3.5, 0.2);
}

Track any_track() {
  const int size = *rc::gen::inRange(1, 160);
  const int seed = *rc::gen::inRange(0, 1 << 20);
  std::mt19937 random(static_cast<unsigned>(seed));
  std::uniform_real_distribution<double> any(0, 1);
  Track track;
  double time_s = any(random);
  for (int i = 0; i < size; ++i) {
    track.push_back(heel(i, time_s, Rise{0.5, 0.4, 0.1}(time_s) + 0.1 * any(random), any(random) > 0.15));
    time_s += (any(random) < 0.03 ? 20 * any(random) : 0.2 + 1.6 * any(random)) / 60;
  }
  return track;
}

RC_GTEST_PROP(PathBuilder, WhatCameOutNeverRestsOnWhatComesLater, ()) {
  const Track track = any_track();
  const double rate_hz = *rc::gen::element(10.0, 30.0, 60.0, 61.3);
  PathBuilder all(square_on(), {10, rate_hz});
  std::vector<PathSample> whole;
  std::vector<std::size_t> out_after;
  for (const auto& sample : track) {
    for (const PathSample& got : all.push(sample)) whole.push_back(got);
    out_after.push_back(whole.size());
  }
  const std::size_t part = *rc::gen::inRange<std::size_t>(0, track.size());
  PathBuilder some(square_on(), {10, rate_hz});
  std::vector<PathSample> prefix;
  for (std::size_t i = 0; i <= part; ++i) {
    for (const PathSample& got : some.push(track[i])) prefix.push_back(got);
  }
  RC_ASSERT(prefix.size() == out_after[part]);
  for (std::size_t i = 0; i < prefix.size(); ++i) {
    RC_ASSERT(prefix[i].up_cm == whole[i].up_cm);
    RC_ASSERT(prefix[i].up_raw_cm == whole[i].up_raw_cm);
    RC_ASSERT(prefix[i].across_cm == whole[i].across_cm);
  }
}

RC_GTEST_PROP(PathBuilder, StaysNearWhatWasMeasured, ()) {
  const Track track = any_track();
  for (const PathSample& s : path_of(track, 60)) {
    RC_ASSERT(std::isfinite(s.up_cm));
    RC_ASSERT(s.up_raw_cm > -2.0);
    RC_ASSERT(s.up_raw_cm < 12.0);
  }
}

RC_GTEST_PROP(PathBuilder, LaterClockSameHeights, ()) {
  Track track = any_track();
  const auto before = path_of(track, 60);
  for (auto& sample : track) sample.time_s += 8;
  const auto after = path_of(track, 60);
  RC_ASSERT(before.size() == after.size());
  for (std::size_t i = 0; i < before.size(); ++i) RC_ASSERT(std::abs(before[i].up_cm - after[i].up_cm) < 1e-6);
}

}  // namespace
}  // namespace risetrace::path
