// The leg's angles in the truth, against the places that the same truth gives: another way to them.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "model/read_models.h"
#include "place.h"
#include "synth/read_scene.h"
#include "synth/truth.h"

namespace risetrace::synth {
namespace {

Truth truth_from(const std::string& json) {
  const auto scene = read_scene(json);
  EXPECT_TRUE(scene) << (scene ? "" : sentence(scene.error()));
  const auto models = model::read_models(test::source_folder() / "models");
  return truth_of(*scene, models->cards, models->heel_raise);
}

// A camera square to the leg without lens errors keeps angles: what the places in the picture enclose is the truth's.
double lean_deg(Point low, Point high, double forward) {
  return std::atan2(forward * (high.x - low.x), low.y - high.y) * 180 / std::numbers::pi;
}

void expect_angles_of_places(const Truth& truth, double forward) {
  for (const TruthFrame& frame : truth.frames) {
    ASSERT_TRUE(frame.leg);
    const double shank = lean_deg(frame.leg->ankle_px, frame.leg->knee_px, forward);
    const double thigh = lean_deg(frame.leg->knee_px, frame.leg->hip_px, forward);
    EXPECT_NEAR(frame.leg->shank_deg, shank, 1e-6) << "frame " << frame.index;
    EXPECT_NEAR(frame.leg->knee_deg, shank - thigh, 1e-6) << "frame " << frame.index;
  }
}

}  // namespace

TEST(LegTruth, AnglesAreThoseOfThePlaces) {
  for (const std::string facing : {"right", "left"}) {
    const double forward = facing == "right" ? 1 : -1;
    expect_angles_of_places(truth_from(R"({"leg": {"knee_bend_deg": 50, "facing": ")" + facing + "\"}}"), forward);
    expect_angles_of_places(
        truth_from(R"({"leg": {"facing": ")" + facing + R"("}, "movement": {"lunge": {"tries": [{}]}}})"), forward);
  }
}

TEST(LegTruth, TheKneeDriftsEvenlyOverTheSet) {
  const Truth truth = truth_from(R"({"leg": {"knee_bend_deg": 10}, "movement": {"knee_bend_last_deg": 30}})");
  EXPECT_NEAR(truth.frames.front().leg->knee_deg, 10, 1e-9);
  EXPECT_NEAR(truth.frames.back().leg->knee_deg, 30, 1e-9);
  // Four reps of 2 s after one second: half-way at 5 s.
  const TruthFrame& middle = truth.frames[300];
  EXPECT_NEAR(middle.heel_s, 5.0, 1e-9);
  EXPECT_NEAR(middle.leg->knee_deg, 20, 1e-9);
}

TEST(LegTruth, ALungeIsHeldAndTheFootStays) {
  const Truth truth = truth_from(R"({"movement": {"lunge": {"wall_cm": 9, "tries": [{"shank_deg": 41}]}}})");
  ASSERT_TRUE(truth.lunges);
  const LungeTimes& one = truth.lunges->tries.front();
  for (const TruthFrame& frame : truth.frames) {
    if (frame.heel_s < one.held_from_s || frame.heel_s > one.held_to_s) continue;
    EXPECT_NEAR(frame.leg->shank_deg, 41, 1e-9);
    EXPECT_NEAR(frame.leg->ankle_px.x, truth.frames.front().leg->ankle_px.x, 1e-9);
  }
  EXPECT_EQ(truth.lunges->toe_to_wall_cm, 9);
  EXPECT_NEAR((truth.lunges->wall_px->x - truth.lunges->toe_px.x) / truth.px_per_cm, 9, 1e-6);
}

TEST(LegTruth, RefusesWhatCannotStandBesideALunge) {
  for (const char* other : {R"("reps": [])", R"("hops": {})", R"("knee_bend_last_deg": 3)"}) {
    const auto scene = read_scene(std::string(R"({"movement": {"lunge": {}, )") + other + "}}");
    ASSERT_FALSE(scene);
    EXPECT_NE(sentence(scene.error()).find("cannot stand beside lunge"), std::string::npos);
  }
  EXPECT_FALSE(read_scene(R"({"movement": {"lunge": {"tries": []}}})"));
  EXPECT_FALSE(read_scene(R"({"movement": {"lunge": {"tries": [{"comes_back": false}, {}]}}})"));
}

}  // namespace risetrace::synth
