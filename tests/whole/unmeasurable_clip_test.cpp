// Clips that can be read but do not show what is needed: exit 4, one line, nothing left behind.
#include <gtest/gtest.h>

#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

}  // namespace

TEST(UnmeasurableClip, NoCard) {
  expect_refused_clip(rendered(small_scene({{"cards", json::array()}})), 4,
                      {"no calibration card was found", "risetrace print card", "--px-per-cm"});
}

TEST(UnmeasurableClip, TwoCards) {
  const json cards = json::array({json::object(), {{"x_cm", 40}}});
  expect_refused_clip(rendered(small_scene({{"cards", cards}})), 4, {"the calibration card cannot be trusted"});
}

// The picture's left edge is where the card's middle is: tags 1 and 2 are in view, 0 and 3 are not.
TEST(UnmeasurableClip, CardHalfOutOfView) {
  const json cards = json::array({{{"x_cm", -41.7}}});
  expect_refused_clip(rendered(small_scene({{"cards", cards}})), 4, {"card"});
}

TEST(UnmeasurableClip, NoSticker) {
  expect_refused_clip(rendered(small_scene({{"stickers", {{"heel", {{"absent", true}}}}}})), 4, {"heel"});
}

// From the second rise on, to the end of the clip.
TEST(UnmeasurableClip, StickerHiddenByAHandToTheEnd) {
  const json hands = json::array({{{"from_frame", 100}, {"to_frame", 100000}}});
  expect_refused_clip(rendered(small_scene({{"hands", hands}})), 4, {"the heel sticker was lost"});
}

TEST(UnmeasurableClip, StickerHiddenForAWholeRep) {
  const json hands = json::array({{{"from_frame", 75}, {"to_frame", 145}}});
  expect_refused_clip(rendered(small_scene({{"hands", hands}})), 4,
                      {"the heel sticker was lost", "a rep may be missing"});
}

// The picture pans away in the middle of the second rise: not a set that ended.
TEST(UnmeasurableClip, StickerLeavesThePictureDuringARep) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const Ran made = run({"ffmpeg", "-v", "error", "-nostdin", "-i", rendered(small_scene()), "-vf",
                        "crop=w=360:h=360:x='if(lt(t,3.5),0,280)':y=0", "-an", place / "leaves.mp4"});
  ASSERT_EQ(made.status, 0) << made.err;
  expect_refused_clip(place / "leaves.mp4", 4, {"the heel sticker was lost", "to the clip's end"});
}

TEST(UnmeasurableClip, NobodyMoves) {
  expect_refused_clip(rendered(small_scene({{"movement", {{"lead_in_s", 9}}}, {"duration_s", 3}})), 4,
                      {"no heel raise was seen"});
}

// A dark room: whatever is said of it, no number comes out of it that is not there.
TEST(UnmeasurableClip, BlackPictures) {
  const json scene = small_scene({{"light", {{"level", 0.001}}}, {"duration_s", 2}});
  expect_refused_clip(rendered(scene), 4, {"card"});
}

TEST(UnmeasurableClip, ShorterThanARep) {
  expect_refused_clip(rendered(small_scene({{"duration_s", 0.3}})), 4, {"too short", "film the whole set"});
}

}  // namespace risetrace::test
