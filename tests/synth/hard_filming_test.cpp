// What makes a clip hard to measure looks as the scene asks: seen in the rendered frames, worked out here.
#include <gtest/gtest.h>

#include "seen.h"

namespace risetrace::synth {
namespace {

constexpr int reach_px = 26;
constexpr double black_grey = 16.0;

Scene standing_scene() {
  Scene scene = test::bare_scene();
  scene.camera.height_cm = 11;
  scene.movement.lead_in_s = 2;
  scene.movement.rule.count = 1;
  return scene;
}

std::vector<RenderedFrame> frames_of(const Scene& scene, int count) {
  Renderer renderer(scene, test::models().cards);
  std::vector<RenderedFrame> out;
  while (static_cast<int>(out.size()) < count) out.push_back(*renderer.next());
  return out;
}

// Variances of the sticker's light along x and y, px^2: of a disc R^2 / 4 each, and the lens blur's adds to it.
Point spread(const RenderedFrame& frame, Point centre) {
  Point sum;
  double light = 0;
  for (int y = -reach_px; y <= reach_px; ++y) {
    for (int x = -reach_px; x <= reach_px; ++x) {
      const Point at{std::round(centre.x) + x, std::round(centre.y) + y};
      const double here = test::grey_at(frame, static_cast<int>(at.x), static_cast<int>(at.y)) - black_grey;
      light += here;
      sum.x += here * (at.x - centre.x) * (at.x - centre.x);
      sum.y += here * (at.y - centre.y) * (at.y - centre.y);
    }
  }
  return {sum.x / light, sum.y / light};
}

TEST(HardFilming, AHuntingExposureChangesTheWholeFrame) {
  Scene scene = standing_scene();
  scene.background.kind = BackgroundKind::plain;
  scene.background.wall = {0.4, 0.4, 0.4};
  scene.light.hunting_depth = 0.5;
  scene.light.hunting_hz = 1.0;  // at 60 frames a second frame 15 is the brightest, 45 the darkest
  const auto frames = frames_of(scene, 46);
  for (const Point at : {Point{20, 20}, Point{440, 60}}) {
    const auto grey = [&](std::size_t i) {
      return test::grey_at(frames[i], static_cast<int>(at.x), static_cast<int>(at.y)) - black_grey;
    };
    ASSERT_GT(grey(0), 15);
    EXPECT_NEAR(grey(15) / grey(0), 1.5, 0.02);  // gamma is off: grey levels are light. A quarter of a level is 1 %
    EXPECT_NEAR(grey(45) / grey(0), 0.5, 0.02);
  }
}

TEST(HardFilming, AHuntingLensBlursAndComesBack) {
  Scene scene = standing_scene();
  scene.camera.focus_hunting_px = 3.0;
  scene.camera.focus_hunting_hz = 1.0;  // frame 30 is the most blurred
  const Point centre = test::truth_for(scene).frames.front().heel_px;
  const auto frames = frames_of(scene, 61);
  const Point sharp = spread(frames[0], centre);
  const Point soft = spread(frames[30], centre);
  // Variances of blurs: (0.6 + 3)^2 - 0.6^2 = 12.6. The kernel ends at 3.2 SD, which takes 1 % of it.
  EXPECT_NEAR(soft.x - sharp.x, 12.6, 0.3);
  EXPECT_NEAR(soft.y - sharp.y, 12.6, 0.3);
  EXPECT_NEAR(spread(frames[60], centre).x, sharp.x, 0.01);
}

TEST(HardFilming, ATurnedStickerIsNarrower) {
  Scene scene = standing_scene();
  scene.stickers.heel.turn_deg = 60;
  const Point centre = test::truth_for(scene).frames.front().heel_px;
  const Point seen = spread(frames_of(scene, 1).front(), centre);
  const double disc = 14.0 * 14.0 / 4;        // radius 1 cm at 14 px/cm
  const double blur = 0.6 * 0.6 + 1.0 / 12;   // of the lens and of a pixel's width
  EXPECT_NEAR(seen.x, disc / 4 + blur, 0.2);  // cos 60 = 1/2
  EXPECT_NEAR(seen.y, disc + blur, 0.5);
}

// A spot on the stiff rear of the shoe turns about the ball as the sticker does.
TEST(HardFilming, ADecoyGoesWithTheShoe) {
  Scene scene = standing_scene();
  scene.movement.lead_in_s = 0;
  scene.leg.decoys.push_back({.forward_cm = 7.6, .up_cm = 5.9, .radius_cm = 0.8});  // 5 cm ahead of the sticker
  const Truth truth = test::truth_for(scene);
  const auto frames = frames_of(scene, 61);
  const double ball_cm = 20.5;
  const double reach_cm = std::hypot(ball_cm - 2.6, 5.9);
  for (const std::size_t i : {std::size_t{0}, std::size_t{60}}) {
    const TruthFrame& now = truth.frames[i];
    const double turn_rad = std::asin((5.9 + now.height_cm) / reach_cm) - std::atan2(5.9, ball_cm - 2.6);
    const Point wanted{now.heel_px.x + 70 * std::cos(turn_rad), now.heel_px.y + 70 * std::sin(turn_rad)};
    const Point seen = test::centroid(frames[i], wanted, 20, black_grey);
    EXPECT_NEAR(seen.x, wanted.x, 0.05) << i;
    EXPECT_NEAR(seen.y, wanted.y, 0.05) << i;
  }
  EXPECT_GT(truth.frames[60].height_cm, 9.9);
}

TEST(HardFilming, ADecoysFieldsAreRead) {
  const auto scene = read_scene(R"({"leg": {"decoys": [{"on": "shank", "forward_cm": 1, "up_cm": 12, "radius_cm": 0.5,
      "ring_fraction": 0.3, "colour": "#ff0000", "ring": "#0000ff"}]}})");
  ASSERT_TRUE(scene);
  ASSERT_EQ(scene->leg.decoys.size(), 1U);
  const Decoy& decoy = scene->leg.decoys.front();
  EXPECT_EQ(decoy.on, DecoyPlace::shank);
  EXPECT_DOUBLE_EQ(decoy.up_cm, 12);
  EXPECT_DOUBLE_EQ(decoy.ring.b, 1);
  EXPECT_FALSE(read_scene(R"({"leg": {"decoys": [{"on": "wall"}]}})"));
  EXPECT_FALSE(read_scene(R"({"light": {"hunting_depth": 1}})"));
  EXPECT_FALSE(read_scene(R"({"camera": {"focus_hunting_px": -1}})"));
}

}  // namespace
}  // namespace risetrace::synth
