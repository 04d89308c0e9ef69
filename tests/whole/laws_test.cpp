// What must not change a measurement: mirroring, more pixels, other frame rates, slow motion. Each clip is also held
// against its own truth.
#include <gtest/gtest.h>

#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

constexpr double tolerance_cm = 0.05;  // half a millimetre: derived here, 0.35 px of the small scene

void expect_same_as_the_small_clip(const json& changes) {
  const Place place;
  const std::string plain = rendered(small_scene());
  const std::string changed = rendered(small_scene(changes));
  const json was = measured(plain, place / "was");
  const json is = measured(changed, place / "is");
  expect_same_heights(heights_cm(is), heights_cm(was), tolerance_cm);
  expect_same_heights(heights_cm(is), heights_cm(truth_of(changed)), tolerance_cm);
  EXPECT_EQ(heights_cm(is).size(), 3U);
  EXPECT_EQ(is["heel_raise"]["count"], 3);
  EXPECT_EQ(was["heel_raise"]["count"], 3);
  for (std::size_t i = 0; i < heights_cm(is).size(); ++i) {
    const double was_s = was["heel_raise"]["reps"][i]["peak_s"];
    EXPECT_NEAR(is["heel_raise"]["reps"][i]["peak_s"].get<double>(), was_s, 1.0 / 30) << "rep " << i + 1;
  }
}

}  // namespace

TEST(Laws, Mirrored) { expect_same_as_the_small_clip({{"leg", {{"facing", "left"}}}}); }

TEST(Laws, TwiceThePixels) {
  expect_same_as_the_small_clip({{"camera", {{"width_px", 1280}, {"height_px", 720}, {"px_per_cm", 14}}}});
}

TEST(Laws, TwiceTheFrames) { expect_same_as_the_small_clip({{"camera", {{"fps", 60}}}}); }

TEST(Laws, FewerFrames) { expect_same_as_the_small_clip({{"camera", {{"fps", 24}}}}); }

TEST(Laws, SlowMotionWithTheRateInTheFile) {
  expect_same_as_the_small_clip({{"camera", {{"fps", 60}}}, {"file", {{"stored_rate_hz", 30}, {"capture_tag", true}}}});
}

TEST(Laws, SlowMotionWithTheRateGiven) {
  const Place place;
  const std::string clip = rendered(small_scene({{"camera", {{"fps", 60}}}, {"file", {{"stored_rate_hz", 30}}}}));
  const json result = measured(clip, place / "out", {"--capture-fps", "60"});
  EXPECT_EQ(result["clip"]["frame_rate_from"], "given");
  EXPECT_EQ(result["heel_raise"]["count"], 3);
  expect_same_heights(heights_cm(result), heights_cm(truth_of(clip)), tolerance_cm);
}

TEST(Laws, TurnedAsPhonesStoreIt) { expect_same_as_the_small_clip({{"file", {{"rotation_deg", 90}}}}); }

}  // namespace risetrace::test
