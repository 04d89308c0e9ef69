#include "hop/keep_beat.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "hop/list_hops.h"
#include "made_hops.h"

namespace risetrace::hop {
namespace {

using test::noted;
using test::protocol;

// Landings at these times, all steady.
std::vector<Hop> landings(const std::vector<double>& times_s) {
  std::vector<Hop> hops;
  for (const double time_s : times_s) {
    Hop hop;
    hop.n = static_cast<int>(hops.size()) + 1;
    hop.touchdown_s = time_s;
    hop.contact_ms = 250;
    hop.flight_ms = 150;
    hop.standing = Standing::steady;
    hop.counted = true;
    hops.push_back(hop);
  }
  return hops;
}

std::vector<double> even(double from_s, double period_s, int how_many) {
  std::vector<double> out(static_cast<std::size_t>(how_many));
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = from_s + static_cast<double>(i) * period_s;
  return out;
}

Step only_step(const std::vector<double>& times_s, double bpm, double first_s = 0.1, int beats = 40) {
  const KeptBeat kept =
      keep_beat(landings(times_s), test::steady_beat(bpm, first_s, beats), std::nullopt, 100, 0.0, protocol());
  return kept.steps.at(0);
}

TEST(KeepBeat, OnTheBeat) {
  const Step step = only_step(even(0.15, 0.4, 20), 150);
  EXPECT_EQ(step.hops, 20);
  EXPECT_NEAR(*step.hop_rate_hz, 2.5, 1e-12);
  EXPECT_NEAR(*step.rate_error_pct, 0, 1e-9);
  EXPECT_NEAR(*step.phase_lock, 1, 1e-9);
  EXPECT_LT(*step.phase_p, 1e-6);
  EXPECT_NEAR(*step.contact_ms, 250, 1e-12);
  EXPECT_TRUE(step.kept);
}

// Late by any constant is still with the beat: the sound's own delay is not known.
TEST(KeepBeat, AConstantLagChangesNothing) {
  for (const double lag_s : {-0.15, -0.05, 0.01, 0.17}) {
    const Step step = only_step(even(0.5 + lag_s, 0.4, 20), 150);
    EXPECT_TRUE(step.kept) << lag_s;
    EXPECT_NEAR(*step.phase_lock, 1, 1e-9);
  }
}

TEST(KeepBeat, HalfOrTwiceTheBeatIsNotKeepingIt) {
  const Step half = only_step(even(0.1, 0.8, 18), 150);
  EXPECT_NEAR(*half.phase_lock, 1, 1e-9);  // the lock alone would be fooled
  EXPECT_NEAR(*half.rate_error_pct, -50, 1e-9);
  EXPECT_FALSE(half.kept);
  const Step twice = only_step(even(0.1, 0.2, 60), 150);
  EXPECT_NEAR(*twice.rate_error_pct, 100, 1e-9);
  EXPECT_LT(*twice.phase_lock, 0.1);
  EXPECT_FALSE(twice.kept);
  const KeptBeat kept =
      keep_beat(landings(even(0.1, 0.8, 18)), test::steady_beat(150, 0.1, 40), std::nullopt, 100, 0.0, protocol());
  EXPECT_TRUE(noted(kept.notes, "step-other-rate"));
  EXPECT_FALSE(kept.lowest_kept_bpm.has_value());
}

// The right rate on the whole, but landings anywhere in the beat.
TEST(KeepBeat, TheRateAloneIsNotEnough) {
  std::mt19937_64 random(4);
  std::uniform_real_distribution<double> anywhere(-0.19, 0.19);
  int kept = 0;
  for (int trial = 0; trial < 200; ++trial) {
    auto times_s = even(0.5, 0.4, 24);
    for (double& t : times_s) t += anywhere(random);
    kept += only_step(times_s, 150).kept ? 1 : 0;
  }
  EXPECT_EQ(kept, 0);
}

// 4 % is the bound; a drift through the beat is seen in the lock before.
TEST(KeepBeat, AnotherRate) {
  EXPECT_TRUE(only_step(even(0.1, 0.4 / 1.01, 20), 150).kept);
  EXPECT_FALSE(only_step(even(0.1, 0.4 / 1.05, 20), 150).kept);
  EXPECT_FALSE(only_step(even(0.1, 0.4 * 15 / 14, 20), 150).kept);  // stays at 140
}

TEST(KeepBeat, FewHopsAreNotCalledKept) {
  const KeptBeat kept =
      keep_beat(landings(even(0.1, 0.4, 5)), test::steady_beat(150, 0.1, 40), std::nullopt, 100, 0.0, protocol());
  EXPECT_FALSE(kept.steps[0].kept);
  EXPECT_NEAR(*kept.steps[0].phase_lock, 1, 1e-9);
  EXPECT_TRUE(noted(kept.notes, "step-few-hops"));
  EXPECT_TRUE(only_step(even(0.1, 0.4, 6), 150).kept);
  EXPECT_FALSE(only_step({0.3}, 150).hop_rate_hz.has_value());
  EXPECT_FALSE(only_step({0.3}, 150).phase_lock.has_value());
}

// With the shipped bounds of lock and number p is never over 0.05; where they are looser it decides.
TEST(KeepBeat, ALockThatMayBeChanceIsNotCalledKept) {
  auto rules = protocol();
  rules.least_hops = 4;
  rules.least_lock = 0.7;
  auto times_s = even(0.5, 0.4, 4);
  times_s[1] += 0.09;
  times_s[2] += 0.09;
  const auto step = [&] {
    return keep_beat(landings(times_s), test::steady_beat(150, 0.1, 40), std::nullopt, 100, 0.0, rules).steps.at(0);
  };
  EXPECT_NEAR(*step().phase_lock, std::cos(2 * 3.14159265358979 * 0.045 / 0.4), 1e-9);  // 0.76
  EXPECT_GT(*step().phase_p, 0.05);
  EXPECT_LT(std::abs(*step().rate_error_pct), 4);
  EXPECT_FALSE(step().kept);
  rules.greatest_phase_p = 0.2;
  EXPECT_TRUE(step().kept);
}

// How often landings anywhere in the beat look kept: of 20000 made-up runs of six at the right rate.
TEST(KeepBeat, ChanceLocksAreRare) {
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> anywhere(-0.2, 0.2);
  int locked = 0;
  int likely = 0;
  constexpr int trials = 20000;
  for (int trial = 0; trial < trials; ++trial) {
    auto times_s = even(0.5, 0.4, 6);
    for (double& t : times_s) t += anywhere(random);
    std::sort(times_s.begin(), times_s.end());
    const Step step = only_step(times_s, 150);
    locked += *step.phase_lock >= 0.8 ? 1 : 0;
    likely += *step.phase_p <= 0.05 ? 1 : 0;
  }
  EXPECT_NEAR(likely / static_cast<double>(trials), 0.05, 4 * std::sqrt(0.05 * 0.95 / trials));
  // Rayleigh's p of 0.8 for six is 0.0144, as models/hop.json tells.
  EXPECT_NEAR(locked / static_cast<double>(trials), 0.0144, 4 * std::sqrt(0.0144 / trials));
}

TEST(KeepBeat, TheLadder) {
  beat::Beats beats;
  beats.sound_there = true;
  double from_s = 5;
  std::vector<double> times_s;
  for (const double bpm : {150.0, 140.0, 130.0, 120.0}) {
    beats.steps.push_back(test::step_of(bpm, from_s, 16));
    // The runner cannot go under 130: stays there.
    const double hop_s = 60 / std::max(bpm, 130.0);
    const int fitting = static_cast<int>((15.4 * 60 / bpm - 0.03) / hop_s) + 1;
    for (const double t : even(from_s + 0.03, hop_s, fitting)) times_s.push_back(t);
    from_s += 16 * 60 / bpm;
  }
  const KeptBeat kept = keep_beat(landings(times_s), beats, 150.0, 100, 0.0, protocol());
  ASSERT_EQ(kept.steps.size(), 4U);
  EXPECT_EQ(kept.steps[0].hops, 16);
  for (int i = 1; i < 3; ++i) EXPECT_EQ(kept.steps[i].hops, 14) << "the first two after a change are left out";
  EXPECT_TRUE(kept.steps[0].kept && kept.steps[1].kept && kept.steps[2].kept);
  EXPECT_FALSE(kept.steps[3].kept);
  EXPECT_NEAR(*kept.steps[3].rate_error_pct, 100.0 / 12, 0.01);
  EXPECT_DOUBLE_EQ(*kept.lowest_kept_bpm, 130);
  EXPECT_FALSE(noted(kept.notes, "higher-beat-not-kept"));
  EXPECT_FALSE(noted(kept.notes, "beat-heard-differs"));
}

TEST(KeepBeat, AHigherBeatNotKeptIsSaid) {
  beat::Beats beats;
  beats.steps = {test::step_of(150, 1, 16), test::step_of(140, 7.4, 16)};
  std::vector<double> times_s = even(1, 60 / 130.0, 13);
  for (const double t : even(7.4, 60 / 140.0, 16)) times_s.push_back(t);
  const KeptBeat kept = keep_beat(landings(times_s), beats, std::nullopt, 100, 0.0, protocol());
  EXPECT_FALSE(kept.steps[0].kept);
  EXPECT_TRUE(kept.steps[1].kept);
  EXPECT_DOUBLE_EQ(*kept.lowest_kept_bpm, 140);
  EXPECT_TRUE(noted(kept.notes, "higher-beat-not-kept"));
}

TEST(KeepBeat, NoBeatHeard) {
  const auto hops = landings(even(1, 0.4, 20));
  const KeptBeat nothing = keep_beat(hops, {}, std::nullopt, 10, 0.0, protocol());
  EXPECT_TRUE(nothing.steps.empty());
  EXPECT_TRUE(noted(nothing.notes, "no-sound"));
  beat::Beats heard;
  heard.sound_there = true;
  EXPECT_TRUE(noted(keep_beat(hops, heard, std::nullopt, 10, 0.0, protocol()).notes, "no-beat"));
  heard.notes.push_back({"sound-silent", "Silence.", std::nullopt});
  EXPECT_TRUE(noted(keep_beat(hops, heard, std::nullopt, 10, 0.0, protocol()).notes, "sound-silent"));
  const KeptBeat asked = keep_beat(hops, {}, 150.0, 10, 0.0, protocol());
  ASSERT_EQ(asked.steps.size(), 1U);
  EXPECT_TRUE(asked.steps[0].kept);
  EXPECT_DOUBLE_EQ(asked.steps[0].to_s, 10);
  EXPECT_TRUE(noted(asked.notes, "beat-not-heard"));
  const KeptBeat other = keep_beat(hops, test::steady_beat(150, 1, 20), 120.0, 10, 0.0, protocol());
  EXPECT_TRUE(noted(other.notes, "beat-heard-differs"));
  EXPECT_DOUBLE_EQ(other.steps[0].beat_bpm, 150);
}

TEST(KeepBeat, RateIsDeafToAMissedLanding) {
  auto times_s = even(1, 0.4, 20);
  times_s.erase(times_s.begin() + 7);
  EXPECT_NEAR(*landing_rate_hz(times_s), 2.5, 1e-12);
  times_s.erase(times_s.begin() + 12, times_s.begin() + 14);
  EXPECT_NEAR(*landing_rate_hz(times_s), 2.5, 1e-12);
  times_s[5] += 0.1;  // one landing badly timed
  EXPECT_NEAR(*landing_rate_hz(times_s), 2.5, 0.005);
  EXPECT_FALSE(landing_rate_hz({1.0}).has_value());
  EXPECT_FALSE(landing_rate_hz({1.0, 1.0}).has_value());
}

// A mean period over N hops from events picked to a frame T has the SD T / (N sqrt 6) by its two ends alone (derived:
// each event T / sqrt 12); the slope over all landings does better.
TEST(KeepBeat, RateFromFramesIsBetterThanItsEnds) {
  std::mt19937_64 random(6);
  std::uniform_real_distribution<double> anywhere(0, 1);
  std::normal_distribution<double> runner(0, 0.008);
  constexpr double frame_s = 1 / 60.0;
  constexpr int hops = 20;
  double ends_2 = 0;
  double slope_2 = 0;
  constexpr int trials = 2000;
  for (int trial = 0; trial < trials; ++trial) {
    const double phase_s = anywhere(random);
    std::vector<double> truth_s;
    std::vector<double> seen_s;
    for (int i = 0; i < hops; ++i) {
      truth_s.push_back(phase_s + 0.4 * i + runner(random));
      seen_s.push_back(std::ceil(truth_s.back() / frame_s) * frame_s);
    }
    const auto by_ends = [](const std::vector<double>& t) { return (t.back() - t.front()) / (hops - 1); };
    ends_2 += std::pow(by_ends(seen_s) - by_ends(truth_s), 2) / trials;
    slope_2 += std::pow(1 / *landing_rate_hz(seen_s) - 1 / *landing_rate_hz(truth_s), 2) / trials;
  }
  EXPECT_NEAR(std::sqrt(ends_2) * (hops - 1) * std::sqrt(6) / frame_s, 1, 0.06);
  EXPECT_LT(slope_2, ends_2);
}

}  // namespace
}  // namespace risetrace::hop
