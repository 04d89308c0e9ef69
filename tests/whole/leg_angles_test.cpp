// Angles of the leg from clips as the program is run: the knee in heel raises, and lunges.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "place.h"
#include "report/schema_check.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

// Of a clean clip at 7 px/cm: the stickers are placed to some 0.05 px, over limbs of 270 px 0.02 degrees; the encoder
// and the pixel grid shift them by as much again. Derived here; the scene's own errors are far below.
constexpr double tolerance_deg = 0.15;

// A leg up to the hip in a picture 480 x 760, quick to render. `side`: +1 facing right.
json leg_scene(const json& changes, double facing = 1) {
  json scene = json::parse(R"({
    "schema": "risetrace/scene/1", "seed": 9,
    "camera": {"width_px": 480, "height_px": 760, "fps": 30, "px_per_cm": 7, "height_cm": 46, "distance_m": 3,
               "exposure_s": 0.006, "noise_grey": 0.6},
    "stickers": {"ankle": {"radius_cm": 1}, "knee": {}, "hip": {}},
    "movement": {"lead_in_s": 0.6, "tail_s": 0.5, "reps": [
      {"height_cm": 8, "period_s": 1.6}, {"height_cm": 8, "period_s": 1.6}, {"height_cm": 8, "period_s": 1.6},
      {"height_cm": 8, "period_s": 1.6}]}
  })");
  scene["camera"]["x_cm"] = 12 * facing;
  scene["cards"] = json::array({{{"x_cm", -11 * facing}}});
  scene["leg"] = {{"facing", facing > 0 ? "right" : "left"}};
  if (!changes.is_null()) scene.merge_patch(changes);
  return scene;
}

json lunge_scene(double shank_deg, double facing = 1, const json& changes = {}) {
  json scene = leg_scene({{"camera", {{"height_px", 560}, {"height_cm", 34}}}}, facing);
  scene["stickers"] = {{"heel", {{"absent", true}}}, {"ankle", {{"radius_cm", 1}}}, {"knee", json::object()}};
  scene["movement"] = {
      {"lead_in_s", 0.8},
      {"tail_s", 0.4},
      {"lunge",
       {{"wall_cm", 8}, {"tries", {{{"shank_deg", shank_deg}, {"hold_s", 1.2}, {"forward_s", 1}, {"back_s", 1}}}}}}};
  if (!changes.is_null()) scene.merge_patch(changes);
  return scene;
}

// The mean of the truth's knee over the frames of each rep.
std::vector<double> true_knees_deg(const json& truth, const json& result) {
  const auto column = [&](const char* name) {
    const auto& names = truth["frame_columns"];
    return static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
  };
  std::vector<double> means;
  for (const json& rep : result["heel_raise"]["reps"]) {
    double sum = 0;
    int frames = 0;
    for (const json& row : truth["frames"]) {
      const double t = row[column("heel_s")];
      if (t < rep["start_s"].get<double>() || t > rep["end_s"].get<double>()) continue;
      sum += row[column("knee_deg")].get<double>();
      ++frames;
    }
    means.push_back(sum / frames);
  }
  return means;
}

json expect_knees(const json& scene, const Words& more) {
  const Place place;
  const std::string clip = rendered(scene);
  json result = measured(clip, place / "out", more);
  EXPECT_EQ(misfit("result.schema.json", result.dump()), "");
  const json truth = truth_of(clip);
  const std::vector<double> wanted = true_knees_deg(truth, result);
  EXPECT_EQ(wanted.size(), 4U);
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const json& knee = result["heel_raise"]["reps"][i]["knee_deg"];
    EXPECT_TRUE(knee.is_number()) << "rep " << i + 1;
    if (!knee.is_number()) continue;
    EXPECT_NEAR(knee.get<double>(), wanted[i], tolerance_deg) << "rep " << i + 1;
  }
  expect_same_heights(heights_cm(result), heights_cm(truth), 0.05);
  return result;
}

bool noted(const json& result, const std::string& code) {
  for (const json& note : result["notes"]) {
    if (note["code"] == code) return true;
  }
  return false;
}

json measured_lunge(const json& scene, const Words& more) {
  const Place place;
  Words words = {"--test", "lunge", "--report", "--overlay"};
  words.insert(words.end(), more.begin(), more.end());
  json result = measured(rendered(scene), place / "out", words);
  EXPECT_EQ(misfit("result.schema.json", result.dump()), "");
  const auto made = std::filesystem::path(place / "out");
  EXPECT_TRUE(std::filesystem::exists(made / "report.pdf"));
  EXPECT_TRUE(std::filesystem::exists(made / "overlay.mp4"));
  const std::string trace = read_file(made / "trace.csv");
  EXPECT_EQ(trace.substr(0, trace.find('\r')),
            "frame,time_s,ankle_x_px,ankle_y_px,ankle_seen,knee_x_px,knee_y_px,knee_seen,shank_deg");
  EXPECT_EQ(result["heel_raise"], nullptr);
  return result;
}

}  // namespace

TEST(KneeInRaises, StraightIsHeld) {
  const json result = expect_knees(leg_scene({}), {"--knee", "straight"});
  EXPECT_FALSE(noted(result, "knee-not-held"));
  EXPECT_FALSE(noted(result, "sticker-choice-doubtful"));
  EXPECT_EQ(result["heel_raise"]["forward"], "right");
  for (const json& rep : result["heel_raise"]["reps"]) EXPECT_EQ(rep["knee_held"], true);
  EXPECT_NEAR(result["heel_raise"]["knee_drift_deg"].get<double>(), 0, tolerance_deg);
}

TEST(KneeInRaises, BentBy50FacingEitherWay) {
  for (const double facing : {1.0, -1.0}) {
    const json result = expect_knees(leg_scene({{"leg", {{"knee_bend_deg", 50}}}}, facing), {"--knee", "bent"});
    EXPECT_FALSE(noted(result, "knee-not-held"));
    EXPECT_EQ(result["heel_raise"]["forward"], facing > 0 ? "right" : "left");
  }
}

TEST(KneeInRaises, ABentKneeIsNotStraight) {
  const Place place;
  const json result =
      measured(rendered(leg_scene({{"leg", {{"knee_bend_deg", 50}}}})), place / "out", {"--knee", "straight"});
  EXPECT_TRUE(noted(result, "knee-not-held"));
  EXPECT_EQ(result["heel_raise"]["count"], 4);  // what is counted is not changed by it
}

TEST(KneeInRaises, DriftIsFoundAndItsRepsNamed) {
  const json result = expect_knees(
      leg_scene({{"leg", {{"knee_bend_deg", 4}}}, {"movement", {{"knee_bend_last_deg", 32}}}}), {"--knee", "straight"});
  // 28 degrees over four reps, evenly: 7 a rep, 21 from the middle of the first to that of the last.
  EXPECT_NEAR(result["heel_raise"]["knee_drift_deg"].get<double>(), 21, 0.3);
  EXPECT_TRUE(noted(result, "knee-not-held"));
  EXPECT_EQ(result["heel_raise"]["reps"][0]["knee_held"], true);
  EXPECT_EQ(result["heel_raise"]["reps"][3]["knee_held"], false);
}

TEST(KneeInRaises, AHalfAsLargeCardChangesNoAngle) {
  const Place place;
  const json changes = {{"leg", {{"knee_bend_deg", 50}}}};
  json scene = leg_scene(changes);
  const json as_printed = measured(rendered(scene), place / "a");
  scene["cards"][0]["print_scale"] = 0.5;
  const json half = measured(rendered(scene), place / "b");
  EXPECT_NEAR(half["heel_raise"]["knee_deg"]["mean"].get<double>(),
              as_printed["heel_raise"]["knee_deg"]["mean"].get<double>(), tolerance_deg);
  EXPECT_NEAR(heights_cm(half)[0], 2 * heights_cm(as_printed)[0], 0.1);  // the card is what tells the centimetres
}

TEST(KneeInRaises, WithoutAKneeStickerThereIsNone) {
  for (const char* absent : {"knee", "hip", "ankle"}) {
    const Place place;
    const json result = measured(rendered(leg_scene({{"stickers", {{absent, {{"absent", true}}}}}})), place / "out",
                                 {"--knee", "bent"});
    EXPECT_EQ(result["heel_raise"]["knee_deg"], nullptr) << absent;
    EXPECT_EQ(result["heel_raise"]["reps"][0]["knee_deg"], nullptr) << absent;
    EXPECT_EQ(result["leg_stickers"], nullptr) << absent;
    EXPECT_EQ(result["heel_raise"]["count"], 4) << absent;
  }
}

TEST(Lunge, TheShanksAngleFacingEitherWay) {
  for (const double facing : {1.0, -1.0}) {
    for (const char* side : {"left", "right"}) {
      const json result = measured_lunge(lunge_scene(38, facing), {"--side", side})["lunge"];
      EXPECT_NEAR(result["shank_deg"].get<double>(), 38, tolerance_deg);
      EXPECT_NEAR(result["standing_shank_deg"].get<double>(), 3, tolerance_deg);
      EXPECT_NEAR(result["change_deg"].get<double>(), 35, tolerance_deg);
      EXPECT_NEAR(result["held_s"].get<double>(), 1.4, 0.12);  // 1.2 s and the last degree at either end
      EXPECT_EQ(result["forward"], facing > 0 ? "right" : "left");
      EXPECT_EQ(result["upright_from"], "card");
      EXPECT_EQ(result["toe_to_wall_cm"], nullptr);
      EXPECT_NEAR(result["ankle_rise_cm"].get<double>(), 0, 0.05);
    }
  }
}

TEST(Lunge, WithoutACardTheAngleIsGivenAllTheSame) {
  const json with = measured_lunge(lunge_scene(30), {"--side", "left"});
  const json without = measured_lunge(lunge_scene(30, 1, {{"cards", json::array()}}), {"--side", "left"});
  EXPECT_NEAR(without["lunge"]["shank_deg"].get<double>(), 30, tolerance_deg);
  EXPECT_EQ(without["lunge"]["upright_from"], "picture");
  EXPECT_TRUE(noted(without, "upright-by-picture"));
  EXPECT_GT(without["lunge"]["shank_deg_u"], with["lunge"]["shank_deg_u"]);
  EXPECT_EQ(without["scale"]["px_per_cm"], nullptr);
}

// A camera that is turned by 6 degrees: the card tells, the picture does not.
TEST(Lunge, ALeaningCameraIsTakenOutByTheCard) {
  const json scene = lunge_scene(35, 1, {{"camera", {{"roll_deg", 6}}}});
  EXPECT_NEAR(measured_lunge(scene, {})["lunge"]["shank_deg"].get<double>(), 35, 0.6);  // the card's fit: 16 cm of it
  const json by_picture = measured_lunge(scene, {"--card", "none"})["lunge"];
  EXPECT_NEAR(std::abs(by_picture["shank_deg"].get<double>() - 35), 6, 0.2);
  EXPECT_NEAR(by_picture["change_deg"].get<double>(), 32, tolerance_deg);
}

TEST(Lunge, ToeToWallWhereBothArePointedOut) {
  const json scene = lunge_scene(38);
  const json truth = truth_of(rendered(scene))["lunge"];
  const auto text = [](double value) { return std::to_string(value); };
  const json result = measured_lunge(
      scene, {"--toe", text(truth["toe_px"][0]) + "," + text(truth["toe_px"][1]), "--wall", text(truth["wall_px"][0])});
  EXPECT_NEAR(result["lunge"]["toe_to_wall_cm"].get<double>(), 8, 0.1);
  EXPECT_GT(result["lunge"]["toe_to_wall_cm_u"].get<double>(), 0.3);
}

TEST(Lunge, AHeelThatComesUpIsSaid) {
  const json result =
      measured_lunge(lunge_scene(38, 1, {{"movement", {{"lunge", {{"tries", {{{"heel_rise_cm", 3}}}}}}}}}), {});
  EXPECT_TRUE(noted(result, "heel-may-have-risen"));
  EXPECT_FALSE(noted(measured_lunge(lunge_scene(38), {}), "heel-may-have-risen"));
}

TEST(Lunge, OneStickerIsNotEnough) {
  const json knee_only = lunge_scene(38, 1, {{"stickers", {{"ankle", {{"absent", true}}}}}});
  expect_refused_clip(rendered(knee_only), 4, {"knee and ankle", "no spot stayed at the ankle"}, {"--test", "lunge"});
  const json ankle_only = lunge_scene(38, 1, {{"stickers", {{"knee", {{"absent", true}}}}}});
  expect_refused_clip(rendered(ankle_only), 4, {"no lunge was seen"}, {"--test", "lunge"});
}

TEST(Lunge, StandingIsNoLunge) {
  expect_refused_clip(rendered(lunge_scene(4)), 4, {"no lunge was seen"}, {"--test", "lunge"});
}

TEST(Lunge, StickersPointedOutByHand) {
  const json scene = lunge_scene(38);
  const json truth = truth_of(rendered(scene));
  const json& names = truth["frame_columns"];
  const auto at = [&](const std::string& joint) {
    const auto value = [&](const std::string& name) {
      const auto column = static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
      return std::to_string(std::lround(truth["frames"][0][column].get<double>()));
    };
    return value(joint + "_x_px") + "," + value(joint + "_y_px");
  };
  const json result = measured_lunge(scene, {"--ankle", at("ankle"), "--knee-at", at("knee")});
  EXPECT_NEAR(result["lunge"]["shank_deg"].get<double>(), 38, tolerance_deg);
  EXPECT_EQ(result["leg_stickers"]["knee"]["found_by"], "hand");
  expect_refused_clip(rendered(scene), 4, {"--knee-at"},
                      {"--test", "lunge", "--ankle", at("ankle"), "--knee-at", "20,20"});
}

TEST(Lunge, PlacesThatDoNotFitAreRefused) {
  const std::string clip = rendered(lunge_scene(38));
  const auto refused = [&](const Words& more, const Words& words) { expect_refused_clip(clip, 2, words, more); };
  refused({"--test", "lunge", "--toe", "10,20"}, {"--toe", "--wall"});
  refused({"--toe", "10,20", "--wall", "30"}, {"for lunges"});
  refused({"--test", "lunge", "--ankle", "10,20"}, {"--ankle", "--knee-at"});
  refused({"--test", "lunge", "--hip", "10,20"}, {"--hip"});
  refused({"--ankle", "10,20", "--knee-at", "10,20"}, {"--hip"});
  refused({"--test", "lunge", "--heel", "10,20"}, {"--heel"});
  refused({"--test", "lunge", "--toe", "5000,20", "--wall", "30"}, {"--toe", "480 x 560"});
}

}  // namespace risetrace::test
