// Clips and command lines of hops that something is wrong with: a note that says what, or exit 4 and one line; never a
// number that the clip does not support.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "place.h"
#include "whole/hop_clips.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

// The small clip with another sound, as ffmpeg's lavfi makes it.
std::string with_sound(const Place& place, const std::string& sound) {
  std::string out = place / "sound.mp4";
  const Ran made = run({"ffmpeg", "-v", "error", "-nostdin", "-i", rendered(small_hops()), "-f", "lavfi", "-i", sound,
                        "-map", "0:v", "-map", "1:a", "-c:v", "copy", "-shortest", out});
  EXPECT_EQ(made.status, 0) << made.err;
  return out;
}

void expect_no_beat(const json& result, const std::string& code) {
  EXPECT_TRUE(result["hop"]["steps"].empty());
  EXPECT_TRUE(result["hop"]["lowest_kept_bpm"].is_null());
  EXPECT_TRUE(result["hop"]["beat"]["heard_bpm"].is_null());
  EXPECT_FALSE(result["hop"]["contact_ms"].is_null()) << "the picture is as it was";
  EXPECT_NE(note_of(result, code).find("no beat was asked for"), std::string::npos);
}

json of_hops(int count) { return {{"movement", {{"hops", {{"rule", {{"count", count}}}}}}}}; }

}  // namespace

TEST(HopTrouble, ASilentSound) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  expect_no_beat(measured_hops(with_sound(place, "anullsrc=r=48000:cl=mono")), "sound-silent");
}

// Notes of a moving tune over a bass, played unevenly.
TEST(HopTrouble, Music) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string beat = "t*2.3+0.4*sin(2*t)";
  const std::string tune = "0.2*sin(2*PI*(220+55*floor(mod(" + beat + ",4)))*t)*exp(-3*mod(" + beat + ",1))";
  const std::string sound = "aevalsrc='" + tune + "+0.1*sin(2*PI*110*t)':s=48000";
  expect_no_beat(measured_hops(with_sound(place, sound)), "no-beat");
}

// Clicks that slide from 132 to some 190 per minute: no tempo is named for them.
TEST(HopTrouble, ABeatThatSlides) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string sound = "aevalsrc='0.5*sin(2*PI*1200*t)*lt(mod(2.2*t+0.1*t*t,1),0.06)':s=48000";
  expect_no_beat(measured_hops(with_sound(place, sound)), "no-beat");
}

TEST(HopTrouble, OneHopIsListedAndNotCounted) {
  const std::string clip = rendered(small_hops(of_hops(1)));
  const json result = measured_hops(clip, {"--mass", "70"});
  expect_true_hops(result, truth_of(clip));
  EXPECT_EQ(result["hop"]["count"], 0);
  for (const char* field : {"contact_ms", "flight_ms", "hop_rate_hz", "height_cm", "rsi", "stiffness_kn_m"}) {
    EXPECT_TRUE(result["hop"][field].is_null()) << field;
  }
  EXPECT_NE(note_of(result, "few-hops-counted").find("No hop is counted where 7 are wanted"), std::string::npos);
}

TEST(HopTrouble, FewFramesASecond) {
  const json result = measured_hops(rendered(small_hops({{"camera", {{"fps", 30}}}})));
  EXPECT_NE(note_of(result, "frame-rate-low").find("120 or 240"), std::string::npos);
}

// Someone walks past behind: whatever is then not known is said, and what is given is right.
TEST(HopTrouble, SomeoneWalksPast) {
  const std::string clip = rendered(small_hops({{"walker", {{"from_s", 0.5}, {"to_s", 3.5}}}}));
  const json result = measured_hops(clip);
  expect_true_hops(result, truth_of(clip));
  if (!result["hop"]["contact_ms"].is_null()) return;
  expect_no_ground_times(result);
  EXPECT_NE(note_of(result, "ground-time-not-known"), "");
}

TEST(HopTrouble, HeelRaisesGivenAsHops) {
  const std::string line = expect_refused_clip(rendered(small_scene()), 4, {"no hop was seen"}, {"--test", "hop"});
  EXPECT_NE(line.find("--test heel-raise"), std::string::npos) << line;
}

TEST(HopTrouble, HopsGivenAsHeelRaises) {
  expect_refused_clip(rendered(small_hops()), 4, {"no heel raise was seen", "as in hops", "--test hop"});
}

TEST(HopTrouble, NobodyMoves) {
  const json changes = {{"duration_s", 1.5}, {"movement", {{"lead_in_s", 9}}}};
  expect_refused_clip(rendered(small_hops(changes)), 4, {"no hop was seen", "none rose and came down"},
                      {"--test", "hop"});
}

TEST(HopTrouble, NoStickerAtAll) {
  const json changes = {{"duration_s", 1.5}, {"cards", json::array()}, {"stickers", {{"heel", {{"absent", true}}}}}};
  expect_refused_clip(rendered(small_hops(changes)), 4, {"no heel sticker was found", "print stickers"},
                      {"--test", "hop"});
}

TEST(HopTrouble, ACardButNoSticker) {
  const json changes = {{"duration_s", 1.5}, {"stickers", {{"heel", {{"absent", true}}}}}};
  expect_refused_clip(rendered(small_hops(changes)), 4, {"no hop was seen", "sticker"}, {"--test", "hop"});
}

TEST(HopTrouble, ForefootMisused) {
  const std::string clip = rendered(small_hops());
  expect_refused_clip(clip, 2, {"--forefoot", "--heel"}, {"--test", "hop", "--forefoot", "300,250"});
  expect_refused_clip(clip, 2, {"--forefoot", "--test hop"}, {"--heel", "300,250", "--forefoot", "340,250"});
  expect_refused_clip(clip, 2, {"--forefoot"}, {"--test", "hop", "--heel", "300,250", "--forefoot", "340"});
  const json heel = truth_of(clip)["frames"][0];
  const json columns = truth_of(clip)["frame_columns"];
  const auto column = [&](const char* name) {
    return heel[static_cast<std::size_t>(std::find(columns.begin(), columns.end(), name) - columns.begin())]
        .get<double>();
  };
  const std::string at = std::to_string(column("heel_x_px")) + "," + std::to_string(column("heel_y_px"));
  expect_refused_clip(clip, 4, {"nothing round stands out at (600, 20)", "--forefoot"},
                      {"--test", "hop", "--heel", at, "--forefoot", "600,20"});
  expect_refused_clip(clip, 2, {"--forefoot", "640 x 360"}, {"--test", "hop", "--heel", at, "--forefoot", "9000,20"});
}

// Recordings of other things: none of them shows hops.
TEST(HopTrouble, RealClipsOfOtherThingsShowNone) {
  const std::filesystem::path folder = data_folder() / "clips";
  RISETRACE_NEEDS_DATA(folder);
  int clips = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() != ".mp4") continue;
    SCOPED_TRACE(entry.path().filename());
    ++clips;
    const Place place;
    const Ran ran = risetrace_run({"measure", entry.path().string(), "--test", "hop", "--out", place / "out"});
    expect_refused(ran, ran.status == 3 ? 3 : 4);
    EXPECT_EQ(place.holds(), Words{});
  }
  EXPECT_GT(clips, 0);
}

}  // namespace risetrace::test
