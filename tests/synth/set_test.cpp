// The expected counts, worked out by hand from the contract, and scene files that are wrong.
#include <gtest/gtest.h>

#include "seen.h"

namespace risetrace::synth {
namespace {

Scene scene_of(const std::vector<double>& heights_cm) {
  Scene scene;
  for (const double height_cm : heights_cm) scene.movement.reps.push_back({.height_cm = height_cm});
  return scene;
}

TEST(ExpectedSet, TwoLowRepsInARowEndTheSet) {
  // Reference (10 + 10 + 10) / 3 = 10; low under 7.5: reps 5, 7, 8; 7 and 8 end the set.
  const TruthSet set = test::truth_for(scene_of({10, 10, 10, 9, 7, 9, 7, 6, 10})).set;
  EXPECT_EQ(set.end_why, "low-height");
  EXPECT_EQ(set.after_rep, 8);
  EXPECT_EQ(set.count, 5);  // 1 2 3 4 6
  EXPECT_DOUBLE_EQ(*set.reference_height_cm, 10);
  EXPECT_DOUBLE_EQ(*set.total_height_cm, 48);
  ASSERT_EQ(set.count_at.size(), 3U);
  EXPECT_EQ(set.count_at[0].count, 9);  // none under 5
  EXPECT_EQ(set.count_at[1].count, 5);
  EXPECT_EQ(set.count_at[2].count, 5);  // low under 9: the same reps
  EXPECT_DOUBLE_EQ(set.end_s, set.reps[7].end_s);
}

TEST(ExpectedSet, APauseEndsTheSetAndSoDoesTheClip) {
  Scene scene = scene_of({10, 10, 10, 10});
  scene.movement.reps[2].pause_before_s = 6;
  const TruthSet paused = test::truth_for(scene).set;
  EXPECT_EQ(paused.end_why, "pause");
  EXPECT_EQ(paused.count, 2);
  EXPECT_NEAR(paused.end_s, paused.reps[1].end_s + 5.0, 1e-12);
  const TruthSet ran_out = test::truth_for(scene_of({10, 10, 10, 10})).set;
  EXPECT_EQ(ran_out.end_why, "clip-end");
  EXPECT_EQ(ran_out.count, 4);
}

TEST(ExpectedSet, OnsetsLieWhereARaisedCosineReachesThreePerCent) {
  const TruthSet set = test::truth_for(scene_of({10})).set;
  ASSERT_EQ(set.reps.size(), 1U);
  // Derived here: (1 - cos(pi s)) / 2 = 0.03 at s = acos(0.94) / pi.
  const double share = std::acos(0.94) / std::acos(-1.0);
  EXPECT_NEAR(set.reps[0].start_s, 1.0 + share, 1e-9);
  EXPECT_NEAR(set.reps[0].peak_s, 2.0, 1e-12);
  EXPECT_NEAR(set.reps[0].end_s, 3.0 - share, 1e-9);
}

TEST(ExpectedSet, SmallRisesAreNoRepsAndAHighFloorIsNoted) {
  Scene scene = scene_of({10, 1.2, 10, 10});
  scene.movement.reps[3].floor_cm = 3;
  const TruthSet set = test::truth_for(scene).set;
  ASSERT_EQ(set.reps.size(), 3U);
  EXPECT_TRUE(set.reps[1].lowered);
  EXPECT_FALSE(set.reps[2].lowered);
  EXPECT_EQ(set.count, 3);
}

std::string complaint(const std::string& json_text) {
  const auto scene = read_scene(json_text);
  return scene ? "" : scene.error().why;
}

TEST(ReadScene, NamesTheFieldThatIsWrong) {
  EXPECT_EQ(complaint("{}"), "");
  EXPECT_NE(complaint("[").find("not JSON"), std::string::npos);
  EXPECT_NE(complaint("[]").find("a scene must be an object"), std::string::npos);
  EXPECT_NE(complaint(R"({"camera": {"fsp": 60}})").find("camera.fsp is not a field"), std::string::npos);
  EXPECT_NE(complaint(R"({"camera": {"fps": "60"}})").find("camera.fps must be a number"), std::string::npos);
  EXPECT_NE(complaint(R"({"camera": {"fps": 0}})").find("camera.fps is 0, must be 1 to 1000"), std::string::npos);
  EXPECT_NE(complaint(R"({"camera": {"width_px": 641}})").find("camera.width_px must be even"), std::string::npos);
  EXPECT_NE(complaint(R"({"camera": null})"), "camera");
  EXPECT_NE(complaint(R"({"cards": [{"kind": "id-2"}]})").find("cards[0].kind must be one of tags, id-1"),
            std::string::npos);
  EXPECT_NE(complaint(R"({"leg": {"skin": "#12345g"}})").find("leg.skin must be a colour"), std::string::npos);
  EXPECT_NE(complaint(R"({"movement": {"reps": [{"height_cm": 25}]}})").find("movement.reps[0].height_cm"),
            std::string::npos);
  EXPECT_NE(complaint(R"({"movement": {"reps": [{"period_s": 2, "up_s": 1}]}})").find("period_s cannot stand beside"),
            std::string::npos);
  EXPECT_NE(complaint(R"({"file": {"rotation_deg": 45}})").find("file.rotation_deg must be 0, 90, 180 or 270"),
            std::string::npos);
  EXPECT_NE(complaint(R"({"schema": "risetrace/scene/2"})").find("schema must be"), std::string::npos);
}

TEST(ReadScene, TakesWhatItIsGiven) {
  const auto scene = read_scene(R"({"camera": {"fps": 240, "exposure_s": 0.002, "x_cm": null}, "cards": [],
      "stickers": {"forefoot": {"kind": "colour", "colour": "#ff0000"}, "heel": {"radius_cm": 0.8}},
      "movement": {"reps": [{"height_cm": 8, "period_s": 3, "hold_s": 1}]}, "sound": {"beat_bpm": 120}})");
  ASSERT_TRUE(scene) << scene.error().why;
  EXPECT_EQ(scene->camera.fps, 240);
  EXPECT_TRUE(scene->cards.empty());
  EXPECT_FALSE(scene->stickers.forefoot.absent);
  EXPECT_TRUE(scene->stickers.ankle.absent);
  EXPECT_EQ(scene->stickers.forefoot.colour.r, 1.0);
  EXPECT_EQ(scene->stickers.heel.forward_cm, 2.6);
  EXPECT_EQ(scene->movement.reps[0].up_s, 1.0);
  EXPECT_TRUE(scene->sound.on);
}

TEST(Sound, ClicksComeOnTheBeat) {
  Scene scene;
  scene.sound = {.on = true, .beat_bpm = 60, .first_s = 0.25, .level = 0.5, .noise = 0};
  const std::vector<float> sound = render_sound(scene);
  ASSERT_EQ(sound.size(), 10U * sound_rate_hz);
  EXPECT_EQ(sound[11999], 0.0F);
  float loudest = 0;
  for (int i = 12000; i < 12100; ++i) loudest = std::max(loudest, sound[static_cast<std::size_t>(i)]);
  EXPECT_GT(loudest, 0.4F);
  EXPECT_EQ(sound[30000], 0.0F);
  EXPECT_GT(std::abs(sound[60010]), 0.1F);
}

}  // namespace
}  // namespace risetrace::synth
