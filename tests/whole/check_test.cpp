// `risetrace check` as its users run it: rendered set-ups, each with one thing wrong, and what is said of them.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <regex>
#include <sstream>

#include "report/schema_check.h"
#include "whole/hop_clips.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

// Two seconds of standing, then one raise; as a phone 1.6 m away films it. Fields of `changes` win.
json set_up(const json& changes = {}) {
  json scene = small_scene({{"camera", {{"width_px", 1280}, {"height_px", 720}, {"px_per_cm", 9}, {"distance_m", 1.6}}},
                            {"movement", {{"lead_in_s", 2}, {"reps", {{{"height_cm", 9.5}}, {{"height_cm", 9.0}}}}}}});
  if (!changes.is_null()) scene.merge_patch(changes);
  return scene;
}

json checked(const std::string& clip, int status = 0, const Words& more = {}) {
  Words arguments = {"check", clip, "--json"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  const Ran ran = risetrace_run(arguments);
  EXPECT_EQ(ran.status, status) << ran.err;
  EXPECT_EQ(ran.err.empty(), status == 0) << ran.err;
  EXPECT_EQ(misfit("check-result.schema.json", ran.out), "");
  return json::parse(ran.out, nullptr, false);
}

Words codes_of(const json& check) {
  Words codes;
  for (const json& finding : check["findings"]) codes.push_back(finding["code"]);
  return codes;
}

bool found(const json& check, const std::string& code) {
  const Words codes = codes_of(check);
  return std::find(codes.begin(), codes.end(), code) != codes.end();
}

// What weighs most; an empty object's fields are null.
json first_of(const json& check) {
  json first = {{"code", nullptr}, {"weight", nullptr}, {"costs_cm", 0}};
  if (!check["findings"].empty()) first = check["findings"][0];
  return first;
}

double rms_of_heights(const std::string& clip) {
  const Place place;
  const auto got = heights_cm(measured(clip, place / "out"));
  const auto wanted = heights_cm(truth_of(clip));
  EXPECT_EQ(got.size(), wanted.size());
  double sum = 0;
  for (std::size_t i = 0; i < std::min(got.size(), wanted.size()); ++i) sum += std::pow(got[i] - wanted[i], 2);
  return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(1, wanted.size())));
}

// Of the parts that a clip can show: not the printer, not where the card stands in depth, not who leans or is turned.
double shown_95_cm(const json& check) {
  double sum = 0;
  for (const json& part : check["expected"]["height_parts"]) {
    const auto from = part["from"].get<std::string>();
    if (from == "card-depth" || from == "card-print" || from == "card-lean" || from == "card-facing") continue;
    sum += std::pow(part["u_cm"].get<double>(), 2);
  }
  return 1.96 * std::sqrt(sum);
}

void expect_error_as_told(const std::string& clip, const json& check) {
  const double rms_cm = rms_of_heights(clip);
  EXPECT_LT(rms_cm, check["expected"]["height_95_cm"].get<double>());
}

}  // namespace

TEST(Check, AGoodSetUpIsGoodAndNothingIsWrong) {
  const std::string clip = rendered(set_up());
  const json check = checked(clip);
  EXPECT_EQ(check["verdict"], "good");
  EXPECT_EQ(codes_of(check), Words{});
  EXPECT_LT(check["expected"]["height_95_cm"].get<double>(), 0.3);
  EXPECT_NEAR(check["card"]["px_per_cm"].get<double>(), 9, 0.05);
  expect_error_as_told(clip, check);
}

// As a person reads it: at most 80 columns, a verdict, what to expect, the caution.
TEST(Check, SaysItInPlainLines) {
  const Ran ran = risetrace_run({"check", rendered(set_up({{"cards", json::array({{{"turn_deg", 16}}})}}))});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_TRUE(std::regex_search(ran.out, std::regex("Expect    a rise of 10 cm within ±[0-9.]+ cm"))) << ran.out;
  EXPECT_TRUE(
      std::regex_search(ran.out, std::regex("[0-9.]+ cm +The card is turned away by 1[4-8] degrees\\. Turn it")))
      << ran.out;
  EXPECT_NE(ran.out.find("Not a medical device"), std::string::npos);
  std::istringstream lines(ran.out);
  for (std::string line; std::getline(lines, line);) {
    const auto columns = std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xc0) != 0x80; });
    EXPECT_LE(columns, 80) << line;
  }
}

TEST(Check, ATiltedCardCostsWhatItSays) {
  const std::string clip = rendered(set_up({{"cards", json::array({{{"turn_deg", 16}}})}}));
  const json check = checked(clip);
  EXPECT_TRUE(found(check, "card-tilted"));
  EXPECT_GT(first_of(check)["costs_cm"].get<double>(), 0.1);
  const double rms_cm = rms_of_heights(clip);
  EXPECT_LT(rms_cm, check["expected"]["height_95_cm"].get<double>());
  EXPECT_LT(shown_95_cm(check), 10 * rms_cm);
}

// It is read along the card's edge: a leaning card is the largest error that a clip does not show for what it is.
TEST(Check, ALeaningCardIsNotCalledGood) {
  const std::string clip = rendered(set_up({{"cards", json::array({{{"roll_deg", 5}}})}}));
  const json check = checked(clip);
  EXPECT_EQ(check["verdict"], "usable");
  EXPECT_EQ(first_of(check)["code"], "card-leans");
  expect_error_as_told(clip, check);
}

// Looked at where it stands, not where the sticker's plane has its middle: off the edges white and black are mixed.
TEST(Check, ACardThatIsToldToStandBehindIsLookedAtWhereItStands) {
  const std::string clip = rendered(set_up({{"cards", json::array({{{"offset_cm", 12}}})}}));
  const json check = checked(clip, 0, {"--card-offset", "12", "--distance", "1.6"});
  const json plain = checked(rendered(set_up()));
  for (const char* grey : {"white_grey", "black_grey"}) {
    EXPECT_NEAR(check["card"][grey].get<double>(), plain["card"][grey].get<double>(), 4) << grey;
  }
  EXPECT_NEAR(check["card"]["lean_deg"].get<double>(), 0, 0.3);
  EXPECT_NEAR(check["card"]["px_per_cm"].get<double>(), 9, 0.05);
  EXPECT_FALSE(found(check, "blurred"));
}

TEST(Check, AHandHeldCameraCostsWhatItSays) {
  const json sway = json::array({{{"x_px", 3}, {"y_px", 2.5}, {"rate_hz", 0.8}},
                                 {{"x_px", 1}, {"y_px", 1.2}, {"rate_hz", 2.1}, {"phase_deg", 40}}});
  const std::string clip =
      rendered(set_up({{"camera", {{"sway", sway}, {"width_px", 640}, {"height_px", 360}, {"px_per_cm", 5}}}}));
  const json check = checked(clip);
  EXPECT_EQ(first_of(check)["code"], "camera-moves");
  const double rms_cm = rms_of_heights(clip);
  EXPECT_LT(rms_cm, check["expected"]["height_95_cm"].get<double>());
  EXPECT_LT(shown_95_cm(check), 10 * rms_cm);
}

TEST(Check, FarAwayAt720) {
  const std::string clip = rendered(set_up({{"camera", {{"px_per_cm", 4}, {"distance_m", 4}}}}));
  const json check = checked(clip);
  EXPECT_TRUE(found(check, "sticker-small"));
  EXPECT_FALSE(found(check, "card-tilted")) << "what a small card says of how it faces is noise";
  expect_error_as_told(clip, check);
}

TEST(Check, DarkAndNoisy) {
  const std::string clip = rendered(set_up({{"light", {{"level", 0.06}}}, {"camera", {{"noise_grey", 8}}}}));
  const json check = checked(clip);
  EXPECT_TRUE(found(check, "dark"));
  EXPECT_TRUE(found(check, "noisy"));
  expect_error_as_told(clip, check);
}

TEST(Check, OutOfFocus) {
  const json check = checked(rendered(set_up({{"camera", {{"blur_px", 2.6}}}})));
  EXPECT_TRUE(found(check, "blurred"));
}

TEST(Check, TheStickerIsNearTheUpperEdge) {
  const json scene = set_up({{"camera", {{"px_per_cm", 18}, {"height_cm", 2}, {"tilt_deg", -4.5}}}});
  const json check = checked(rendered(scene), 4, {"--px-per-cm", "18"});
  EXPECT_EQ(check["verdict"], "not-measurable");
  EXPECT_EQ(first_of(check)["code"], "sticker-leaves");
}

TEST(Check, NoCardIsExit4AndToldWithTheRest) {
  const std::string clip = rendered(set_up({{"cards", json::array()}}));
  const json check = checked(clip, 4);
  EXPECT_EQ(check["verdict"], "not-measurable");
  EXPECT_EQ(first_of(check)["code"], "card");
  EXPECT_FALSE(check["sticker"].is_null()) << "what was found is still told";
  const Ran ran = risetrace_run({"check", clip});
  EXPECT_EQ(ran.status, 4);
  EXPECT_TRUE(std::regex_match(ran.err, std::regex("risetrace: no calibration card was found: [^\n]+; [^\n]+\n")))
      << ran.err;
  EXPECT_EQ(ran.out.rfind("Not measurable like this", 0), 0U) << ran.out;
}

// Width and height as the PNG's own header says them.
std::pair<unsigned, unsigned> png_size(const std::string& png) {
  const auto number = [&](std::size_t at) {
    unsigned value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = value * 256 + static_cast<unsigned char>(png.at(at + i));
    return value;
  };
  return {number(16), number(20)};
}

TEST(Check, TheFirstFrameIsWrittenInFullSizeWhateverIsInIt) {
  const Place place;
  const std::string clip = rendered(set_up({{"cards", json::array()}, {"stickers", {{"heel", {{"absent", true}}}}}}));
  const Ran ran = risetrace_run({"check", clip, "--first-frame", place / "first.png"});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(png_size(read_file(place / "first.png")), std::pair(1280U, 720U));
  EXPECT_EQ(risetrace_run({"check", place / "first.png", "--first-frame", place / "second.png"}).status, 3);
  EXPECT_EQ(place.holds(), Words{"first.png"});
}

TEST(Check, NoStickerIsExit4) {
  const json check = checked(rendered(set_up({{"stickers", {{"heel", {{"absent", true}}}}}})), 4);
  EXPECT_EQ(first_of(check)["code"], "sticker");
  EXPECT_FALSE(check["card"].is_null());
}

TEST(Check, WithoutACardHopsAreStillTimed) {
  const json check = checked(rendered(small_hops({{"cards", json::array()}})), 0, {"--test", "hop"});
  EXPECT_EQ(first_of(check)["weight"], "takes-away");
  EXPECT_TRUE(check["expected"]["height_95_cm"].is_null());
  EXPECT_FALSE(check["expected"]["contact_95_ms"].is_null());
}

TEST(Check, SeveralStickersAreTold) {
  const json stickers = {{"ankle", json::object()}, {"knee", json::object()}};
  const json check = checked(rendered(set_up({{"stickers", stickers}, {"movement", {{"lead_in_s", 4}}}})));
  EXPECT_TRUE(found(check, "several-stickers"));
}

TEST(Check, HopsAt30FramesASecondAreTimedPoorly) {
  const json slow = small_hops({{"camera", {{"fps", 30}}}});
  const json check = checked(rendered(slow), 0, {"--test", "hop"});
  EXPECT_EQ(check["verdict"], "usable");
  EXPECT_TRUE(found(check, "frame-rate"));
  // Two events picked by whole frames, 95 % (derived here).
  EXPECT_GT(check["expected"]["contact_95_ms"].get<double>(), 1.96 * 1000 / 30 / std::sqrt(6.0) - 0.01);
}

TEST(Check, HopsAt120AreAsSureAsTold) {
  const std::string clip = rendered(small_hops());
  const json check = checked(clip, 0, {"--test", "hop"});
  EXPECT_FALSE(found(check, "frame-rate"));
  EXPECT_FALSE(found(check, "sole-pale"));
  const json result = measured_hops(clip);
  const json truth = truth_of(clip);
  double sum = 0;
  int count = 0;
  for (const json& hop : result["hop"]["hops"]) {
    for (const json& wanted : truth["hop"]["hops"]) {
      if (hop["contact_ms"].is_null() || wanted["contact_ms"].is_null()) continue;
      if (std::abs(hop["touchdown_s"].get<double>() - wanted["touchdown_s"].get<double>()) > 0.05) continue;
      sum += std::pow(hop["contact_ms"].get<double>() - wanted["contact_ms"].get<double>(), 2);
      ++count;
    }
  }
  ASSERT_GT(count, 4);
  const double rms_ms = std::sqrt(sum / count);
  EXPECT_LT(rms_ms, check["expected"]["contact_95_ms"].get<double>());
  EXPECT_EQ(check["verdict"], "good");
}

TEST(Check, ReadsOnlyTheFirstSeconds) {
  const json check = checked(rendered(set_up({{"movement", {{"lead_in_s", 6}}}})));
  EXPECT_LT(check["clip"]["looked_s"].get<double>(), 3.2);
  EXPECT_FALSE(check["clip"]["timing_irregular"].get<bool>());
}

TEST(Check, ThePictureIsWrittenWholeOrNotAtAll) {
  const Place place;
  const std::string clip = rendered(set_up());
  const Ran ran = risetrace_run({"check", clip, "--picture", place / "still.png"});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(read_file(place / "still.png").substr(1, 3), "PNG");
  EXPECT_EQ(place.holds(), Words{"still.png"});
  const Ran nowhere = risetrace_run({"check", clip, "--picture", place / "no/folder/still.png"});
  expect_refused(nowhere, 5, {"--picture"});
}

TEST(Check, RefusesWhatItCannotDo) {
  expect_refused(risetrace_run({"check"}), 2, {"CLIP"});
  expect_refused(risetrace_run({"check", "nowhere.mp4"}), 3, {"nowhere.mp4"});
  expect_refused(risetrace_run({"check", rendered(set_up()), "--test", "lunge"}), 2, {"--test"});
  expect_refused(risetrace_run({"check", rendered(set_up()), "--card-offset", "5"}), 2, {"--distance"});
  expect_refused(risetrace_run({"check", rendered(set_up()), "--heel", "5000,5"}), 2, {"--heel"});
}

}  // namespace risetrace::test
