// A camera held in the hand: heights are those of the heel, and what was done is said.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

// Drift, tremor and roll, the drift so many pixels.
json hand(double px) {
  return json::array({{{"y_px", px}, {"rate_hz", 0.7}, {"phase_deg", 20}},
                      {{"x_px", 0.8 * px}, {"rate_hz", 0.45}, {"phase_deg", 70}},
                      {{"y_px", 0.3 * px}, {"x_px", 0.2 * px}, {"rate_hz", 2.3}, {"phase_deg", 140}},
                      {{"y_px", 0.7}, {"x_px", 0.7}, {"rate_hz", 9}, {"phase_deg", 10}},
                      {{"roll_deg", 0.4}, {"rate_hz", 0.4}, {"phase_deg", 33}}});
}

const json tiled = {{"kind", "tiles"}, {"size_cm", 9}, {"second", "#404040"}, {"floor_kind", "tiles"}};

bool notes_hold(const json& result, const std::string& code) {
  return std::any_of(result["notes"].begin(), result["notes"].end(), [&](const json& n) { return n["code"] == code; });
}

double rms_mm(const std::vector<double>& got, const std::vector<double>& wanted) {
  EXPECT_EQ(got.size(), wanted.size());
  double sum = 0;
  for (std::size_t i = 0; i < std::min(got.size(), wanted.size()); ++i) sum += std::pow(10 * (got[i] - wanted[i]), 2);
  return std::sqrt(sum / static_cast<double>(wanted.size()));
}

}  // namespace

TEST(HandHeld, AFullSizeClipKeepsItsHeights) {
  const Place place;
  const std::string clip = rendered(
      {{"schema", "risetrace/scene/1"},
       {"camera", {{"sway", hand(20)}, {"noise_grey", 4}}},
       {"movement", {{"lead_in_s", 0.8}, {"tail_s", 0.4}, {"reps", {{{"height_cm", 9.5}}, {{"height_cm", 8.8}}}}}}});
  const json result = measured(clip, place / "out");
  EXPECT_LT(rms_mm(heights_cm(result), heights_cm(truth_of(clip))), 0.3);
  EXPECT_TRUE(notes_hold(result, "camera-moved"));
}

TEST(HandHeld, SomeoneWalksBehind) {
  const Place place;
  const std::string clip = rendered(small_scene(
      {{"camera", {{"sway", hand(10)}}}, {"background", tiled}, {"walker", {{"from_s", 1.5}, {"to_s", 4}}}}));
  const json result = measured(clip, place / "out");
  EXPECT_LT(rms_mm(heights_cm(result), heights_cm(truth_of(clip))), 0.5);  // 0.35 px of the small scene
  EXPECT_TRUE(notes_hold(result, "camera-moved"));
  EXPECT_FALSE(notes_hold(result, "card-moved"));
}

TEST(HandHeld, AKnockedCardIsNoCamera) {
  const Place place;
  const json knocked = {{{"kind", "tags"}, {"knocked_s", 3}, {"knocked_right_cm", 0.4}, {"knocked_up_cm", 0.5}}};
  const std::string clip = rendered(small_scene({{"background", tiled}, {"cards", knocked}}));
  const json result = measured(clip, place / "out");
  EXPECT_LT(rms_mm(heights_cm(result), heights_cm(truth_of(clip))), 0.5);
  EXPECT_TRUE(notes_hold(result, "card-moved"));
  EXPECT_FALSE(notes_hold(result, "camera-moved"));
}

TEST(HandHeld, ATripodIsNotSaidToMove) {
  const Place place;
  const json result = measured(rendered(small_scene()), place / "out");
  EXPECT_FALSE(notes_hold(result, "camera-moved"));
  EXPECT_FALSE(notes_hold(result, "camera-unseen"));
}

}  // namespace risetrace::test
