// Laws that hold whatever the scene.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "seen.h"

namespace risetrace::synth {
namespace {

Scene some_scene() {
  Scene scene;
  scene.seed = *rc::gen::inRange<std::uint64_t>(0, 1000000);
  scene.camera.width_px = 640;
  scene.camera.height_px = 480;
  scene.camera.px_per_cm = *rc::gen::inRange(4, 9);
  scene.camera.exposure_s = *rc::gen::element(0.001, 0.004, 0.008);
  scene.movement.lead_in_s = 0.1;
  scene.movement.tail_s = 0.1;
  scene.movement.rule.count = *rc::gen::inRange(1, 4);
  scene.movement.rule.height_first_cm = *rc::gen::inRange(3, 11);
  scene.movement.rule.height_last_cm = *rc::gen::inRange(3, 11);
  scene.movement.course = *rc::gen::element(Course::raised_cosine, Course::minimum_jerk);
  return scene;
}

RC_GTEST_PROP(Laws, TwiceTheFramesLeaveTheTruthAtCommonInstantsAlone, ()) {
  Scene scene = some_scene();
  scene.camera.exposure_s = 0.001;
  const Truth slow = test::truth_for(scene);
  scene.camera.fps *= 2;
  const Truth fast = test::truth_for(scene);
  for (std::size_t i = 0; i < slow.frames.size(); ++i) {
    RC_ASSERT(std::abs(slow.frames[i].time_s - fast.frames[2 * i].time_s) < 1e-12);
    RC_ASSERT(std::abs(slow.frames[i].heel_px.x - fast.frames[2 * i].heel_px.x) < 1e-9);
    RC_ASSERT(std::abs(slow.frames[i].height_cm - fast.frames[2 * i].height_cm) < 1e-9);
  }
  RC_ASSERT(slow.set.count == fast.set.count);
}

RC_GTEST_PROP(Laws, AMirroredSceneMirrorsTheTruth, ()) {
  Scene scene = some_scene();
  const Truth right = test::truth_for(scene);
  scene.leg.facing = Facing::left;
  const Truth left = test::truth_for(scene);
  for (std::size_t i = 0; i < right.frames.size(); ++i) {
    RC_ASSERT(std::abs(left.frames[i].heel_px.x - (scene.camera.width_px - 1 - right.frames[i].heel_px.x)) < 1e-9);
    RC_ASSERT(std::abs(left.frames[i].heel_px.y - right.frames[i].heel_px.y) < 1e-9);
  }
}

RC_GTEST_PROP(Laws, TheHeelIsAsHighAsTheSceneAsks, ()) {
  const Scene scene = some_scene();
  const Truth truth = test::truth_for(scene);
  double highest_cm = 0;
  for (const TruthFrame& frame : truth.frames) highest_cm = std::max(highest_cm, frame.height_cm);
  const double asked_cm = std::max(scene.movement.rule.height_first_cm,
                                   scene.movement.rule.count > 1 ? scene.movement.rule.height_last_cm : 0.0);
  RC_ASSERT(highest_cm <= asked_cm + 1e-9);
  RC_ASSERT(highest_cm > 0.99 * asked_cm);
}

bool same_planes(const RenderedFrame& a, const RenderedFrame& b) {
  return a.planes[0].bytes == b.planes[0].bytes && a.planes[1].bytes == b.planes[1].bytes &&
         a.planes[2].bytes == b.planes[2].bytes;
}

Scene small_scene() {
  Scene scene;
  scene.camera.width_px = 320;
  scene.camera.height_px = 240;
  scene.camera.px_per_cm = 4;
  scene.duration_s = 0.5;
  scene.movement.lead_in_s = 0.1;
  return scene;
}

TEST(Laws, TheSameSeedGivesTheSameBytesAndAnotherDoesNot) {
  Scene scene = small_scene();
  const model::Models models = test::models();
  Renderer one(scene, models.cards);
  Renderer two(scene, models.cards);
  scene.seed = 2;
  Renderer other(scene, models.cards);
  int frames = 0;
  while (const auto frame = one.next()) {
    const auto again = two.next();
    ASSERT_TRUE(again);
    EXPECT_TRUE(same_planes(*frame, *again));
    EXPECT_FALSE(same_planes(*frame, *other.next()));
    ++frames;
  }
  EXPECT_EQ(frames, 30);
}

// Whatever was drawn in one frame is gone from the next: a frame does not depend on those before it.
TEST(Laws, AStandingFrameLooksLikeTheFirstOneAgain) {
  Scene scene = small_scene();
  scene.camera.noise_grey = 0;
  scene.movement.rule.count = 1;
  scene.duration_s = 2.4;
  Renderer renderer(scene, test::models().cards);
  const auto first = renderer.next();
  auto last = first;
  bool differed = false;
  while (auto frame = renderer.next()) {
    differed = differed || !same_planes(*first, *frame);
    last = std::move(frame);
  }
  EXPECT_TRUE(differed);
  EXPECT_TRUE(same_planes(*first, *last));
}

// A turned, mirrored file holds the same picture: each stored sample is where the orientation says.
TEST(Laws, OrientationOnlyMovesSamples) {
  Scene scene = small_scene();
  scene.camera.noise_grey = 0;
  Renderer plain(scene, test::models().cards);
  const auto upright = plain.next();
  for (const int rotation_deg : {0, 90, 180, 270}) {
    scene.file.rotation_deg = rotation_deg;
    scene.file.mirrored = rotation_deg == 90 || rotation_deg == 180;
    Renderer turned(scene, test::models().cards);
    const auto stored = turned.next();
    int different = 0;
    for (int sy = 0; sy < turned.stored_height(); ++sy) {
      for (int sx = 0; sx < turned.stored_width(); ++sx) {
        // Written from clip/frame.h's words: mirrored left-right first, then turned clockwise by quarter turns.
        int x = scene.file.mirrored ? turned.stored_width() - 1 - sx : sx;
        int y = sy;
        int height = turned.stored_height();
        int width = turned.stored_width();
        for (int quarter = 0; quarter < rotation_deg / 90; ++quarter) {
          const int old_x = x;
          x = height - 1 - y;
          y = old_x;
          std::swap(width, height);
        }
        different += std::abs(test::grey_at(*stored, sx, sy) - test::grey_at(*upright, x, y)) > 1.0 ? 1 : 0;
      }
    }
    EXPECT_EQ(different, 0) << rotation_deg;
  }
}

TEST(Laws, NoiseHasTheStrengthAsked) {
  Scene scene = small_scene();
  scene.background.kind = BackgroundKind::plain;
  scene.camera.noise_grey = 3.0;
  Renderer renderer(scene, test::models().cards);
  const auto a = renderer.next();
  const auto b = renderer.next();
  double square = 0;
  int n = 0;
  for (int y = 0; y < 60; ++y) {
    for (int x = 0; x < 80; ++x, ++n) {
      const double difference = test::grey_at(*a, x, y) - test::grey_at(*b, x, y);
      square += difference * difference;
    }
  }
  // Two frames' noise and their rounding to whole levels: variance 2 (9 + 1/12). 4800 samples: 2 % each way is 2 SD.
  EXPECT_NEAR(std::sqrt(square / n), std::sqrt(2 * (9 + 1.0 / 12)), 0.15);
}

TEST(Laws, DroppedAndRepeatedFrames) {
  Scene scene = small_scene();
  scene.camera.drop_frames = {5, 6};
  scene.camera.repeat_frames = {12};
  const Truth truth = test::truth_for(scene);
  ASSERT_EQ(truth.frames.size(), 28U);
  EXPECT_NEAR(truth.frames[5].time_s - truth.frames[4].time_s, 3.0 / 60, 1e-12);
  EXPECT_TRUE(truth.frames[10].repeated);
  EXPECT_EQ(truth.frames[10].heel_px.y, truth.frames[9].heel_px.y);
  EXPECT_EQ(truth.frames[10].heel_s, truth.frames[9].heel_s);
  EXPECT_NEAR(truth.frames[10].time_s, 12.0 / 60, 1e-12);
  Renderer renderer(scene, test::models().cards);
  std::vector<RenderedFrame> frames;
  while (auto frame = renderer.next()) frames.push_back(*frame);
  EXPECT_TRUE(same_planes(frames[9], frames[10]));
  EXPECT_FALSE(same_planes(frames[8], frames[9]));
}

}  // namespace
}  // namespace risetrace::synth
