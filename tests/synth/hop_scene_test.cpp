// Scene files of hops that are wrong, and what their sound and background hold.
#include "hop_scene.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "synth/photo.h"

namespace risetrace::synth {
namespace {

std::string complaint(const std::string& json_text) {
  const auto scene = read_scene(json_text);
  return scene ? "" : scene.error().why;
}

void expect_complaint(const std::string& json_text, const std::string& words) {
  EXPECT_NE(complaint(json_text).find(words), std::string::npos) << json_text << " says: " << complaint(json_text);
}

TEST(ReadHops, NamesTheFieldThatIsWrong) {
  EXPECT_EQ(complaint(R"({"movement": {"hops": {}, "lead_in_s": -1}})"), "");
  expect_complaint(R"({"movement": {"lead_in_s": -1}})", "movement.lead_in_s is -1, must be 0 to 600");
  expect_complaint(R"({"movement": {"hops": {}, "rule": {}}})", "movement.rule cannot stand beside hops");
  expect_complaint(R"({"movement": {"hops": {"list": []}}})", "movement.hops.list must hold a hop");
  expect_complaint(R"({"movement": {"hops": {"list": [{"kind": "jump"}]}}})", "movement.hops.list[0].kind must be one");
  expect_complaint(R"({"movement": {"hops": {"list": [{}], "rule": {}}}})",
                   "movement.hops.rule cannot stand beside list");
  expect_complaint(R"({"movement": {"hops": {"follow": [{}]}}})", "movement.hops.follow needs beat");
  expect_complaint(R"({"beat": {"steps": [{}, {}, {}]}, "movement": {"hops": {"follow": [{}, {}]}}})",
                   "one for each of the 3 steps");
  expect_complaint(R"({"beat": {"steps": [{"bpm": 250}]}, "movement": {"hops": {"follow": [{}]}}})",
                   "less than 0.06 s of flight at 250");
  expect_complaint(R"({"beat": {}})", "beat.steps must hold a step");
  expect_complaint(R"({"beat": {"steps": [{}]}, "sound": {"beat_bpm": 60}})",
                   "sound.beat_bpm cannot stand beside beat");
  expect_complaint(R"({"movement": {"hops": {"form": {"lowest_heel_cm": 6}}}})", "form.lowest_heel_cm must be under");
  expect_complaint(R"({"movement": {"hops": {"form": {"toe_roll_s": 0.05}}}})", "form.toe_roll_s is 0.05, must be 0");
  expect_complaint(R"({"other_foot": {"held_up": true}})", "other_foot.held_up needs movement.hops");
  expect_complaint(R"({"camera": {"floor_shake_px": 1}})", "camera.floor_shake_px needs movement.hops");
  expect_complaint(R"({"background": {"kind": "photo", "file": "nowhere.ppm"}})", "background.file nowhere.ppm cannot");
}

TEST(ReadHops, TakesWhatItIsGiven) {
  const auto scene =
      read_scene(R"({"beat": {"first_s": -2, "run_in": 2, "steps": [{"bpm": 150, "beats": 3}, {"bpm": 120}]},
      "movement": {"hops": {"follow": [{"lag_s": 0.02, "jitter_s": 0}, {"follows": false, "own_bpm": 145}],
      "special": [{"n": 2, "kind": "double-touch"}], "form": {"sole_give_cm": 0.4}}}})");
  ASSERT_TRUE(scene) << scene.error().why;
  EXPECT_EQ(scene->beat->steps[1].beats, 16);
  EXPECT_EQ(scene->movement.hops->follow[1].own_bpm, 145);
  EXPECT_EQ(scene->movement.hops->special[0].kind, HopKind::double_touch);
  EXPECT_EQ(scene->movement.hops->form.sole_give_cm, 0.4);
}

std::string text_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(HopSample, ItsTruthIsThatOfItsScene) {
  const auto folder = risetrace::test::source_folder() / "sample-clips";
  const auto scene = read_scene(text_of(folder / "hops.json"));
  ASSERT_TRUE(scene) << scene.error().why;
  EXPECT_EQ(truth_json(test::truth_for(*scene)), text_of(folder / "hops.truth.json"));
}

Scene beaten_scene() {
  Scene scene = test::hop_scene();
  scene.beat.emplace().first_s = 0.2;
  scene.beat->steps = {{150, 5}, {120, 4}};
  scene.movement.hops->follow.resize(2);
  scene.movement.hops->follow[0].lag_s = 0.015;
  scene.movement.hops->follow[0].jitter_s = 0.0;
  scene.movement.hops->follow[1].follows = false;
  scene.movement.hops->follow[1].own_bpm = 143;
  return scene;
}

TEST(HopBeat, TouchdownsFollowTheBeatOrGoOnAtARateOfTheirOwn) {
  const Truth truth = test::truth_for(beaten_scene());
  const TruthHops& hops = *truth.hops;
  // Four beats at 150 a minute to listen to, 0.4 s each, from 0.2 s on.
  ASSERT_EQ(hops.clicks.size(), 13U);
  EXPECT_NEAR(hops.clicks[4].time_s, 1.8, 1e-12);
  EXPECT_TRUE(hops.clicks[4].accent);
  EXPECT_FALSE(hops.clicks[5].accent);
  EXPECT_NEAR(hops.clicks[9].time_s, 3.8, 1e-12);
  ASSERT_EQ(hops.steps.size(), 2U);
  EXPECT_NEAR(hops.steps[1].from_s, 3.8 - 0.25, 1e-12);
  EXPECT_NEAR(hops.steps[1].to_s, 3.8 + 3.5 * 0.5, 1e-12);
  EXPECT_TRUE(hops.steps[0].followed);
  EXPECT_FALSE(hops.steps[1].followed);
  for (std::size_t i = 0; i < 5; ++i) EXPECT_NEAR(hops.hops[i].touchdown_s, 1.815 + 0.4 * static_cast<double>(i), 1e-9);
  // From the fifth landing on every 60 / 143 s, about jitter of 8 ms.
  for (std::size_t i = 5; i + 1 < hops.hops.size(); ++i) {
    EXPECT_NEAR(hops.hops[i].touchdown_s, 3.415 + 60.0 / 143 * static_cast<double>(i - 4), 0.035);
  }
}

TEST(HopSpecial, KindsAreTold) {
  Scene scene = test::hop_scene();
  scene.movement.hops->special.push_back({1, HopKind::stumble, 0});
  scene.movement.hops->special.push_back({2, HopKind::double_touch, 0});
  scene.movement.hops->special.push_back({3, HopKind::step_away, -6});
  scene.other_foot.emplace().held_up = true;
  const Truth truth = test::truth_for(scene);
  const std::vector<TruthHop>& hops = truth.hops->hops;
  ASSERT_EQ(hops.size(), 6U);  // four, the second touch, the landing that stays
  EXPECT_GT(*hops[0].contact_ms, 420);
  EXPECT_FALSE(hops[0].is_hop);
  EXPECT_NEAR(hops[2].flight_ms, 45, 1e-6);
  EXPECT_NEAR(*hops[2].contact_ms, 45, 1e-6);
  EXPECT_EQ(hops[3].kind, HopKind::step_away);
  EXPECT_TRUE(hops[4].is_hop);
  const auto toe_x = [&](int frame) { return truth.frames.at(static_cast<std::size_t>(frame)).sole->toe_tip_px.x; };
  EXPECT_NEAR(toe_x(*hops[4].touchdown_frame + 3) - toe_x(*hops[1].touchdown_frame + 3), -6 * truth.px_per_cm, 0.5);
}

// Root of the mean square over a while from an instant on.
double loudness(const std::vector<float>& sound, double from_s, double long_s) {
  double sum = 0;
  const auto first = static_cast<std::size_t>(from_s * sound_rate_hz);
  const auto count = static_cast<std::size_t>(long_s * sound_rate_hz);
  for (std::size_t i = first; i < first + count; ++i) sum += sound.at(i) * sound.at(i);
  return std::sqrt(sum / static_cast<double>(count));
}

TEST(HopSound, ClicksAndThudsComeWhereTheTruthPutsThem) {
  Scene scene = beaten_scene();
  scene.sound.on = true;
  scene.sound.noise = 0;
  scene.sound.offset_s = 0.04;
  scene.file.stored_rate_hz = 30;  // slow motion: twice as long
  const Truth truth = test::truth_for(scene);
  const std::vector<float> clicks = render_sound(scene);
  for (const TruthClick& click : truth.hops->clicks) {
    EXPECT_NEAR(click.file_sound_s, 2 * (click.time_s + 0.04), 1e-9);
    EXPECT_EQ(loudness(clicks, click.file_sound_s - 0.011, 0.01), 0.0);
    EXPECT_GT(loudness(clicks, click.file_sound_s, 0.01), 0.1);
  }
  scene.sound.clicks = false;
  scene.sound.thud_level = 0.5;
  const std::vector<float> thuds = render_sound(scene);
  for (const TruthHop& hop : truth.hops->hops) {
    const double at_s = 2 * (hop.touchdown_s + 0.04);
    EXPECT_EQ(loudness(thuds, at_s - 0.011, 0.01), 0.0);
    EXPECT_GT(loudness(thuds, at_s, 0.03), 0.02);
  }
}

TEST(HopSound, TheGateSilencesTheQuietAndKeepsTheClicks) {
  Scene scene = beaten_scene();
  scene.sound = {.on = true, .level = 0.5, .noise = 0.002};
  const std::vector<float> open = render_sound(scene);
  scene.sound.gate = true;
  const std::vector<float> gated = render_sound(scene);
  const double click_s = test::truth_for(scene).hops->clicks[6].file_sound_s;
  EXPECT_GT(loudness(open, click_s - 0.1, 0.09), 0.0015);
  EXPECT_LT(loudness(gated, click_s - 0.1, 0.09), 0.0005);
  EXPECT_NEAR(loudness(gated, click_s, 0.01), loudness(open, click_s, 0.01), 0.01);
  scene.sound.gate = false;
  scene.sound.voice_level = 0.3;
  EXPECT_GT(loudness(render_sound(scene), 0.0, 4.0), 0.02);
}

// Written here byte by byte: left half dark, right half bright.
TEST(Photo, HangsOnTheWall) {
  const auto folder = std::filesystem::temp_directory_path() / ("photo-" + std::to_string(std::rand()));
  std::filesystem::create_directories(folder);
  const std::string file = (folder / "wall.pgm").string();
  {
    std::ofstream out(file, std::ios::binary);
    out << "P5\n# halves\n8 4\n255\n";
    for (int i = 0; i < 32; ++i) out.put(static_cast<char>(i % 8 < 4 ? 40 : 200));
  }
  const auto photo = read_photo(file);
  ASSERT_TRUE(photo) << photo.error().why;
  EXPECT_NEAR(photo->at(1, 1).g * 255, 40, 1e-9);
  EXPECT_NEAR(photo->at(3.5, 1).g * 255, 120, 1e-9);  // between the halves
  EXPECT_NEAR(photo->at(9, 1).g * 255, 200, 1e-9);    // mirrored
  Scene scene = test::hop_scene();
  scene.camera.noise_grey = 0;
  scene.file.full_range = true;
  scene.background.kind = BackgroundKind::photo;
  scene.background.file = file;
  scene.duration_s = 0.02;
  Renderer renderer(scene, test::models().cards);
  const auto frame = renderer.next();
  ASSERT_TRUE(frame);
  EXPECT_NEAR(test::grey_at(*frame, 100, 100), 40, 1.5);
  EXPECT_NEAR(test::grey_at(*frame, 1800, 100), 200, 1.5);
  std::ofstream(file, std::ios::binary) << "P5 8 4 255 short";
  EXPECT_FALSE(read_photo(file));
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace risetrace::synth
