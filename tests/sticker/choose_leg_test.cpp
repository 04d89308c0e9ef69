// Which of the spots that go with the heel are ankle, knee and hip.
#include "sticker/choose_leg.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace risetrace::sticker {
namespace {

constexpr double radius_px = 8;

struct Made {
  std::vector<TrackSample> samples;
  double look_score = 100;
  double rise_px = 0;
};

// Two rises of 90 px at the heel; a spot at `from_heel_px` (x right, y up) goes up by `share` of that.
Made spot(Point from_heel_px, double share, double look_score = 100) {
  Made made;
  made.look_score = look_score;
  made.rise_px = 90 * share;
  for (int frame = 0; frame < 120; ++frame) {
    const double up = 45 * share * (1 - std::cos(2 * std::numbers::pi * frame / 60));
    made.samples.push_back({frame, frame / 30.0, {300 + from_heel_px.x, 900 - from_heel_px.y - up}, true, false, 1});
  }
  return made;
}

LegCandidate seen(const Made& made) { return {made.samples, radius_px, made.look_score, made.rise_px}; }

std::optional<LegChoice> chosen(const std::vector<Made>& spots) {
  const Made heel = spot({0, 0}, 1);
  std::vector<LegCandidate> candidates;
  for (const Made& made : spots) candidates.push_back(seen(made));
  return choose_leg(seen(heel), candidates);
}

const Made ankle = spot({35, 35}, 0.75);
const Made knee = spot({50, 370}, 0.75);
const Made hip = spot({55, 720}, 0.75);

}  // namespace

TEST(ChooseLeg, FindsAllThreeInAnyOrderAndAnyBend) {
  const auto choice = chosen({hip, ankle, knee});
  ASSERT_TRUE(choice);
  EXPECT_EQ(choice->hip, 0U);
  EXPECT_EQ(choice->ankle, 1U);
  EXPECT_EQ(choice->knee, 2U);
  EXPECT_FALSE(choice->doubtful);
  EXPECT_TRUE(chosen({ankle, spot({220, 320}, 0.75), spot({110, 650}, 0.75)}));   // bent by 50 degrees
  EXPECT_TRUE(chosen({ankle, spot({-150, 320}, 0.75), spot({-40, 650}, 0.75)}));  // facing the other way
}

TEST(ChooseLeg, AllThreeOrNone) {
  EXPECT_FALSE(chosen({ankle, knee}));
  EXPECT_FALSE(chosen({ankle, hip}));
  EXPECT_FALSE(chosen({knee, hip}));
}

TEST(ChooseLeg, WhatDoesNotGoWithTheHeelIsNoJoint) {
  Made still = spot({50, 370}, 0);
  EXPECT_FALSE(chosen({ankle, still, hip}));
  Made late = knee;  // goes up while the heel comes down
  for (std::size_t i = 0; i < late.samples.size(); ++i) {
    late.samples[i].px.y = knee.samples[(i + 30) % 120].px.y;
  }
  EXPECT_FALSE(chosen({ankle, late, hip}));
}

TEST(ChooseLeg, ABadgeOnShankOrShortsIsPassedOver) {
  const auto choice = chosen({spot({42, 190}, 0.75), spot({52, 520}, 0.75), ankle, knee, hip});
  ASSERT_TRUE(choice);
  EXPECT_EQ(choice->ankle, 2U);
  EXPECT_EQ(choice->knee, 3U);
  EXPECT_EQ(choice->hip, 4U);
}

TEST(ChooseLeg, ALogoNearTheAnkleLosesToAStickerAndATwinIsSaid) {
  const auto plain = chosen({spot({70, 30}, 0.6, 30), ankle, knee, hip});
  ASSERT_TRUE(plain);
  EXPECT_EQ(plain->ankle, 1U);
  EXPECT_FALSE(plain->doubtful);
  const auto twin = chosen({spot({70, 30}, 0.6, 98), ankle, knee, hip});
  ASSERT_TRUE(twin);
  EXPECT_TRUE(twin->doubtful);
}

}  // namespace risetrace::sticker
