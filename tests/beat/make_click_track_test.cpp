#include "beat/make_click_track.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace risetrace::beat {
namespace {

RC_GTEST_PROP(ClickTrack, EachClickBeginsAtTheSampleNearestItsTimeHoweverMany, ()) {
  const double bpm = *rc::gen::inRange(3000, 24001) / 100.0;
  const int beats = *rc::gen::inRange(1, 400);
  const auto track = make_click_track({{{bpm, beats}}, 0.5});
  RC_ASSERT(track.ok());
  RC_ASSERT(track->beats.size() == static_cast<std::size_t>(beats + run_in_beats));
  for (std::size_t i = 0; i < track->beats.size(); ++i) {
    const double ideal = 48000.0 * (0.5 + static_cast<double>(i) * 60.0 / bpm);
    RC_ASSERT(std::abs(static_cast<double>(track->beats[i].sample) - ideal) <= 0.5 + 1e-6);
  }
}

RC_GTEST_PROP(ClickTrack, TheSoundIsThereAndNowhereElse, ()) {
  const double bpm = *rc::gen::inRange(30, 241);
  const auto track = make_click_track({{{bpm, 6}, {30.0, 2}}, 0.3});
  RC_ASSERT(track.ok());
  std::int64_t quiet_from = 0;
  for (const TrackBeat& beat : track->beats) {
    for (std::int64_t i = quiet_from; i < beat.sample; ++i) RC_ASSERT(track->samples[static_cast<std::size_t>(i)] == 0);
    int most = 0;
    // A sine begins with zero; by a quarter of its wave, 12 samples at most, it is near its greatest.
    for (std::int64_t i = 0; i < 12; ++i) {
      most = std::max(most, std::abs(int{track->samples[static_cast<std::size_t>(beat.sample + i)]}));
    }
    RC_ASSERT(most > 8000);
    quiet_from = beat.sample + 48000 * 6 / 100;
  }
  for (const std::int16_t sample : track->samples) RC_ASSERT(std::abs(int{sample}) < 32000);
}

TEST(ClickTrack, StepsFollowOneAnotherAndOpenWithAnAccent) {
  const auto track = make_click_track({{{150.0, 3}, {120.0, 2}, {100.0, 1}}, 1.0});
  ASSERT_TRUE(track);
  // By hand: 1 + 4 x 0.4; three beats 0.4 apart; two 0.5 apart; one.
  const std::vector<double> times_s = {1.0, 1.4, 1.8, 2.2, 2.6, 3.0, 3.4, 3.8, 4.3, 4.8};
  const std::vector<int> steps = {0, 0, 0, 0, 1, 1, 1, 2, 2, 3};
  ASSERT_EQ(track->beats.size(), times_s.size());
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    EXPECT_NEAR(track->beats[i].time_s, times_s[i], 1e-12);
    EXPECT_EQ(track->beats[i].step, steps[i]);
    const BeatKind kind = i < 4 ? BeatKind::run_in : (i == 4 || i == 7 || i == 9) ? BeatKind::accent : BeatKind::plain;
    EXPECT_EQ(track->beats[i].kind, kind);
  }
  EXPECT_EQ(track->samples.size(), 48000U * 54 / 10);  // ends one beat of 0.6 s after the last
}

TEST(ClickTrack, RunInIsSofterAndAccentLouderThanPlain) {
  const auto track = make_click_track({{{100.0, 2}}, 0.5});
  ASSERT_TRUE(track);
  const auto power = [&](std::size_t beat) {
    double sum = 0;
    for (std::int64_t i = 0; i < 960; ++i) {
      const double sample = track->samples[static_cast<std::size_t>(track->beats[beat].sample + i)];
      sum += sample * sample;
    }
    return sum;
  };
  EXPECT_LT(power(3), 0.5 * power(5));
  EXPECT_GT(power(4), 1.5 * power(5));
}

TEST(ClickTrack, RefusesWhatCannotBe) {
  const auto refused = [](const ClickTrackPlan& plan) {
    const auto track = make_click_track(plan);
    return !track && track.error().fault == Fault::option_wrong;
  };
  EXPECT_TRUE(refused({{}, 0.5}));
  EXPECT_TRUE(refused({{{29.9, 4}}, 0.5}));
  EXPECT_TRUE(refused({{{240.1, 4}}, 0.5}));
  EXPECT_TRUE(refused({{{std::nan(""), 4}}, 0.5}));
  EXPECT_TRUE(refused({{{60, 0}}, 0.5}));
  EXPECT_TRUE(refused({{{60, 1801}}, 0.5}));
  EXPECT_TRUE(refused({{{60, 4}}, -1}));
  EXPECT_FALSE(refused({{{60, 1796}}, 0.0}));
}

TEST(Ladder, GoesDownEvenly) {
  const auto ladder = ladder_bpm("150:100:6");
  ASSERT_TRUE(ladder);
  EXPECT_EQ(*ladder, (std::vector<double>{150, 140, 130, 120, 110, 100}));
  EXPECT_EQ(ladder_bpm("150:145:2")->size(), 2U);
  for (const char* wrong :
       {"", "150", "150:100", "150:100:6:1", "150:100:x", "150:100:", ":100:6", "150:100:1", "150:100:2.5", "100:150:6",
        "150:150:3", "250:100:6", "150:20:6", "150:100:61", "nan:100:6", "150 :100:6", "1e999:100:6", "150:100:-6"}) {
    const auto refused = ladder_bpm(wrong);
    ASSERT_FALSE(refused) << wrong;
    EXPECT_EQ(refused.error().fault, Fault::option_wrong);
    EXPECT_FALSE(refused.error().what_to_do.empty());
  }
}

}  // namespace
}  // namespace risetrace::beat
