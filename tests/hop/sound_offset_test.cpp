#include "hop/sound_offset.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "hop/list_hops.h"
#include "made_hops.h"

namespace risetrace::hop {
namespace {

struct Heard {
  std::vector<Hop> hops;
  std::vector<beat::Thud> thuds;
};

// Thirty hops of 400 ms with the runner's own unevenness; their thuds `offset_s` later, seen and heard with errors.
Heard heard(double offset_s, std::mt19937_64& random, double seen_sd_s = 0.002, double heard_sd_s = 0.003) {
  std::normal_distribution<double> normal;
  Heard out;
  double t = 1;
  for (int i = 0; i < 30; ++i) {
    t += 0.4 + 0.012 * normal(random);
    Hop hop;
    hop.n = i + 1;
    hop.touchdown_s = t + seen_sd_s * normal(random);
    hop.standing = Standing::steady;
    out.hops.push_back(hop);
    out.thuds.push_back({t + offset_s + heard_sd_s * normal(random), 20});
  }
  return out;
}

TEST(SoundOffset, IsFoundWithItsUncertainty) {
  std::mt19937_64 random(7);
  double squares = 0;
  double stated_2 = 0;
  constexpr int trials = 400;
  for (int trial = 0; trial < trials; ++trial) {
    const double offset_s = -0.12 + 0.24 * trial / trials;
    const Heard all = heard(offset_s, random);
    const auto offset = find_sound_offset(all.hops, all.thuds, 0, test::protocol());
    ASSERT_TRUE(offset.has_value()) << offset_s;
    EXPECT_EQ(offset->landings, 30);
    EXPECT_TRUE(offset->notes.empty());
    squares += std::pow(offset->ms - 1000 * offset_s, 2) / trials;
    stated_2 += std::pow(offset->ms_u, 2) / trials;
  }
  // sqrt(2^2 + 3^2) / sqrt(30) = 0.66 ms.
  EXPECT_NEAR(std::sqrt(stated_2), 0.66, 0.03);
  EXPECT_NEAR(std::sqrt(squares / stated_2), 1, 0.12);  // 4 / sqrt(2 x 400) is 0.14
}

TEST(SoundOffset, OtherBlowsAndUnheardLandingsDoNotMoveIt) {
  std::mt19937_64 random(8);
  std::uniform_real_distribution<double> when(0, 14);
  for (int trial = 0; trial < 100; ++trial) {
    Heard all = heard(0.035, random);
    for (int i = 0; i < 12; ++i) all.thuds.push_back({when(random), 25});
    all.thuds.erase(all.thuds.begin() + 3, all.thuds.begin() + 12);
    const auto offset = find_sound_offset(all.hops, all.thuds, 0, test::protocol());
    ASSERT_TRUE(offset.has_value());
    EXPECT_NEAR(offset->ms, 35, 6) << trial;
  }
}

TEST(SoundOffset, ALandingHeardElsewhereIsNamed) {
  std::mt19937_64 random(9);
  Heard all = heard(0.03, random);
  all.hops[11].touchdown_s += 0.06;
  const auto offset = find_sound_offset(all.hops, all.thuds, 0, test::protocol());
  ASSERT_TRUE(offset.has_value());
  EXPECT_NEAR(offset->ms, 30, 3);
  ASSERT_EQ(offset->notes.size(), 1U);
  EXPECT_NE(offset->notes[0].text.find("hop 12 "), std::string::npos) << offset->notes[0].text;
}

TEST(SoundOffset, ThudsOfSomethingElseGiveNone) {
  std::mt19937_64 random(10);
  std::uniform_real_distribution<double> when(0, 14);
  int given = 0;
  for (int trial = 0; trial < 200; ++trial) {
    Heard all = heard(0, random);
    for (beat::Thud& thud : all.thuds) thud.time_s = when(random);
    given += find_sound_offset(all.hops, all.thuds, 0, test::protocol()) ? 1 : 0;
  }
  EXPECT_EQ(given, 0);
  EXPECT_FALSE(find_sound_offset(heard(0, random).hops, {}, 0, test::protocol()));
  EXPECT_FALSE(find_sound_offset({}, {{1, 20}}, 0, test::protocol()));
}

// At 250 per minute a sound 100 ms early is one 140 ms late as well: the smaller is taken, even with one thud more for
// the other.
TEST(SoundOffset, QuickHopsAreHeldToTheNearerLanding) {
  Heard all;
  for (int i = 0; i < 30; ++i) {
    Hop hop;
    hop.n = i + 1;
    hop.touchdown_s = 1 + 0.24 * i;
    all.hops.push_back(hop);
    all.thuds.push_back({hop.touchdown_s + 0.14, 20});
  }
  const auto offset = find_sound_offset(all.hops, all.thuds, 0, test::protocol());
  ASSERT_TRUE(offset.has_value());
  EXPECT_NEAR(offset->ms, -100, 1e-6);
}

TEST(SoundOffset, WhatTouchdownsShareStays) {
  std::mt19937_64 random(11);
  const Heard all = heard(0.02, random);
  const auto offset = find_sound_offset(all.hops, all.thuds, 0.004, test::protocol());
  ASSERT_TRUE(offset.has_value());
  EXPECT_GT(offset->ms_u, 4);
  EXPECT_LT(offset->ms_u, 4.3);
}

}  // namespace
}  // namespace risetrace::hop
