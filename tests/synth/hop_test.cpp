// Hop clips against the truth that is told of them: what the pictures show, what the plan says.
#include <gtest/gtest.h>

#include "hop_scene.h"

namespace risetrace::synth {
namespace {

// The last row in which something is brighter than a grey level; stored rows, -1 where nothing is.
int lowest_bright_row(const RenderedFrame& frame, double brighter_than) {
  for (int y = frame.planes[0].height - 1; y >= 0; --y) {
    for (int x = 0; x < frame.planes[0].width; ++x) {
      if (test::grey_at(frame, x, y) > brighter_than) return y;
    }
  }
  return -1;
}

struct SeenContact {
  int differing_frames = 0;  // of those that are neither in contact nor clearly above
  int frames = 0;
  double worst_row_px = 0.0;
};

// A frame is seen in contact where its lowest bright row is that of standing.
SeenContact compare_contact(const Scene& scene) {
  const Truth truth = test::truth_for(scene);
  Renderer renderer(scene, test::models().cards);
  SeenContact seen;
  int floor_row = -1;
  while (const auto frame = renderer.next()) {
    const TruthSole& sole = *truth.frames.at(static_cast<std::size_t>(frame->index)).sole;
    const int row = lowest_bright_row(*frame, 24.0);
    if (frame->index == 0) floor_row = row;
    seen.worst_row_px = std::max(seen.worst_row_px, std::abs(row - sole.lowest_px.y));
    ++seen.frames;
    if (!sole.in_contact && sole.up_px < 1.5) continue;  // off the ground by less than can be seen in whole rows
    seen.differing_frames += (row == floor_row) != sole.in_contact ? 1 : 0;
  }
  return seen;
}

TEST(HopPictures, TheShoeTouchesInJustTheFramesThatTheTruthNames) {
  const SeenContact seen = compare_contact(test::bare_hop_scene());
  EXPECT_GT(seen.frames, 400);
  EXPECT_EQ(seen.differing_frames, 0);
  // The lowest corner is a point: it lights its pixel a little, so the row is found up to a pixel too high.
  EXPECT_LT(seen.worst_row_px, 1.2);
  RecordProperty("worst_row_px", std::to_string(seen.worst_row_px));
}

TEST(HopPictures, ARollingShutterShowsTheSoleAtItsOwnRowsInstant) {
  Scene scene = test::bare_hop_scene();
  scene.camera.readout_s = 0.004;
  EXPECT_EQ(compare_contact(scene).differing_frames, 0);
  const Truth truth = test::truth_for(scene);
  const TruthFrame& frame = truth.frames.front();
  EXPECT_NEAR(frame.sole->sole_s - frame.time_s, 0.004 * ((frame.sole->lowest_px.y + 0.5) / 400 - 0.5), 1e-9);
}

struct WorstSticker {
  double heel_px = 0.0;
  double forefoot_px = 0.0;
};

// White stickers on a black shoe.
WorstSticker worst_stickers(Scene scene) {
  scene.movement = test::hop_movement();
  scene.movement.hops->form.sole_give_cm = 0.3;
  scene.camera.fps = 120;
  scene.camera.exposure_s = 0;
  scene.camera.px_per_cm = 10;
  scene.camera.height_cm = 13;
  scene.camera.x_cm = 11;
  scene.stickers.forefoot = {.kind = StickerKind::white, .radius_cm = 0.8, .forward_cm = 19.6, .up_cm = 3.6};
  const Truth truth = test::truth_for(scene);
  Renderer renderer(scene, test::models().cards);
  WorstSticker worst;
  while (const auto frame = renderer.next()) {
    const TruthFrame& true_frame = truth.frames.at(static_cast<std::size_t>(frame->index));
    const auto off_px = [&](Point true_px, int reach_px) {
      const Point seen = test::centroid(*frame, true_px, reach_px, 16.0);
      return std::hypot(seen.x - true_px.x, seen.y - true_px.y);
    };
    worst.heel_px = std::max(worst.heel_px, off_px(true_frame.heel_px, 16));
    worst.forefoot_px = std::max(worst.forefoot_px, off_px(true_frame.sole->forefoot_px, 14));
  }
  return worst;
}

// The exposure is an instant: over a longer one the mean place is not the one at its middle where a landing bends the
// way.
TEST(HopPictures, StickersAreWhereTheTruthSays) {
  const WorstSticker still = worst_stickers(test::bare_scene());
  EXPECT_LT(still.heel_px, 0.02);
  EXPECT_LT(still.forefoot_px, 0.02);
  RecordProperty("heel_px", std::to_string(still.heel_px));
  RecordProperty("forefoot_px", std::to_string(still.forefoot_px));
}

TEST(HopPictures, StickersAreWhereTheTruthSaysWhileTheFloorShakesTheCamera) {
  Scene scene = test::bare_scene();
  scene.camera.floor_shake_px = 3;
  scene.camera.readout_s = 0.006;
  const WorstSticker shaken = worst_stickers(scene);
  EXPECT_LT(shaken.heel_px, 0.02);
  EXPECT_LT(shaken.forefoot_px, 0.02);
  RecordProperty("heel_px", std::to_string(shaken.heel_px));
}

// Just below the line of contact, under the ball: dark in contact, nearly bare floor at the top of a hop.
TEST(HopPictures, TheShadowComesAndGoesWithTheShoe) {
  Scene scene = test::hop_scene();
  scene.camera.noise_grey = 0;
  scene.light.shadow_strength = 0.7;
  const Truth truth = test::truth_for(scene);
  const TruthHop& hop = truth.hops->hops.at(1);
  const int top = (*truth.hops->hops[0].takeoff_frame + *hop.touchdown_frame) / 2;
  const int down = (*hop.touchdown_frame + *hop.takeoff_frame) / 2;
  // The ball is 20.5 cm ahead of the heel's back, which is 4 cm left of the camera's middle; 14 px a cm.
  const int x = static_cast<int>(960 + 14 * (20.5 - 4));
  const int y = static_cast<int>(truth.frames[static_cast<std::size_t>(down)].sole->lowest_px.y) + 4;
  Renderer renderer(scene, test::models().cards);
  double at_top = 0;
  double at_bottom = 0;
  while (const auto frame = renderer.next()) {
    if (frame->index == top) at_top = test::grey_at(*frame, x, y);
    if (frame->index == down) at_bottom = test::grey_at(*frame, x, y);
    if (frame->index > down) break;
  }
  EXPECT_LT(at_bottom, 0.75 * at_top);
  EXPECT_GT(at_bottom, 16);
}

TEST(HopTruth, FramesOfEventsAreTheFirstAtOrAfterThem) {
  Scene scene = test::hop_scene();
  scene.camera.fps = 240;
  scene.camera.exposure_s = 0.002;
  scene.camera.readout_s = 0.003;
  const Truth truth = test::truth_for(scene);
  ASSERT_TRUE(truth.hops);
  ASSERT_EQ(truth.hops->hops.size(), 5U);  // four, and the landing that stays
  const auto sole_s = [&](int frame) { return truth.frames.at(static_cast<std::size_t>(frame)).sole->sole_s; };
  for (const TruthHop& hop : truth.hops->hops) {
    ASSERT_TRUE(hop.touchdown_frame);
    EXPECT_GE(sole_s(*hop.touchdown_frame), hop.touchdown_s);
    EXPECT_LT(sole_s(*hop.touchdown_frame - 1), hop.touchdown_s);
    EXPECT_TRUE(truth.frames.at(static_cast<std::size_t>(*hop.touchdown_frame)).sole->in_contact);
    EXPECT_FALSE(truth.frames.at(static_cast<std::size_t>(*hop.touchdown_frame) - 1).sole->in_contact);
    EXPECT_EQ(hop.is_hop, hop.takeoff_s.has_value());
    if (!hop.takeoff_s) continue;
    EXPECT_GE(sole_s(*hop.takeoff_frame), *hop.takeoff_s);
    EXPECT_LT(sole_s(*hop.takeoff_frame - 1), *hop.takeoff_s);
    EXPECT_FALSE(truth.frames.at(static_cast<std::size_t>(*hop.takeoff_frame)).sole->in_contact);
  }
}

TEST(HopTruth, ClearanceInPixelsIsClearanceInCentimetres) {
  Scene scene = test::hop_scene();
  scene.camera.fps = 240;
  const Truth truth = test::truth_for(scene);
  double highest_cm = 0;
  for (const TruthFrame& frame : truth.frames) {
    // Derived here: a camera that looks level has one scale over the sagittal plane. 0.01 px for the table of poses.
    EXPECT_NEAR(frame.sole->up_px / truth.px_per_cm, frame.sole->up_cm, 0.01 / truth.px_per_cm);
    highest_cm = std::max(highest_cm, frame.sole->up_cm);
  }
  EXPECT_GT(highest_cm, 4.0);
}

TEST(HopTruth, AClipMayBeginAndEndInTheMiddle) {
  Scene scene = test::hop_scene();
  scene.movement.hops->list = {{0.2, 0.2}, {0.2, 0.2}, {0.2, 0.2}};
  scene.movement.hops->phase_s = 0.0;
  scene.movement.lead_in_s = -0.301;  // begins in the first contact, from -0.101 to 0.099
  scene.duration_s = 0.75;            // ends in the third contact, from 0.699 to 0.899
  const Truth truth = test::truth_for(scene);
  ASSERT_EQ(truth.hops->hops.size(), 3U);
  EXPECT_FALSE(truth.hops->hops[0].touchdown_frame);
  EXPECT_NEAR(truth.hops->hops[0].touchdown_s, -0.101, 1e-12);
  EXPECT_EQ(truth.hops->hops[0].takeoff_frame, 6);  // 0.099 s at 60 a second
  EXPECT_EQ(truth.hops->hops[1].touchdown_frame, 18);
  EXPECT_EQ(truth.hops->hops[2].touchdown_frame, 42);
  EXPECT_FALSE(truth.hops->hops[2].takeoff_frame);
}

}  // namespace
}  // namespace risetrace::synth
