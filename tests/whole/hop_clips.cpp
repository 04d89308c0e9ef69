#include "whole/hop_clips.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <set>

#include "report/schema_check.h"

namespace risetrace::test {

using nlohmann::json;

namespace {

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

void expect_frame(const json& got, const json& wanted, const char* what) {
  if (wanted.is_null() || got.is_null()) return;
  EXPECT_LE(std::abs(got.get<long>() - wanted.get<long>()), 1) << what;
}

// The landing nearest to the true one; null where none is near.
json nearest(const json& hops, double touchdown_s) {
  constexpr double near_s = 0.05;  // a quarter of a time on the ground
  for (const json& hop : hops) {
    if (std::abs(hop["touchdown_s"].get<double>() - touchdown_s) < near_s) return hop;
  }
  return nullptr;
}

}  // namespace

json small_hops(const json& changes) {
  json scene = json::parse(R"({
    "schema": "risetrace/scene/1", "seed": 5,
    "camera": {"width_px": 640, "height_px": 360, "fps": 120, "px_per_cm": 6.5, "x_cm": 8, "height_cm": 18,
               "exposure_s": 0.002, "noise_grey": 0.4},
    "movement": {"lead_in_s": 0.5, "tail_s": 0.5, "hops": {"rule": {"count": 8}, "form": {"toe_roll_s": 0}}},
    "file": {"bit_rate_mbps": 8}
  })");
  if (!changes.is_null()) scene.merge_patch(changes);
  return scene;
}

json measured_hops(const std::string& clip, const Words& more) {
  const Place place;
  Words all = {"--test", "hop"};
  all.insert(all.end(), more.begin(), more.end());
  json result = measured(clip, place / "out", all);
  EXPECT_EQ(misfit("result.schema.json", result.dump()), "");
  EXPECT_TRUE(result["heel_raise"].is_null());
  return result;
}

void expect_true_hops(const json& result, const json& truth) {
  const json& got = result["hop"]["hops"];
  std::vector<double> true_ms;
  std::size_t shown = 0;
  for (const json& wanted : truth["hop"]["hops"]) {
    if (wanted["touchdown_frame"].is_null()) continue;
    ++shown;
    SCOPED_TRACE("true hop " + wanted["n"].dump());
    const json hop = nearest(got, wanted["touchdown_s"].get<double>());
    EXPECT_FALSE(hop.is_null()) << "not found";
    if (hop.is_null()) continue;
    expect_frame(hop["touchdown_frame"], wanted["touchdown_frame"], "touchdown");
    expect_frame(hop["takeoff_frame"], wanted["takeoff_frame"], "take-off");
    // Where the heel alone was followed a landing that stays counts too: it was a landing, and nothing is timed.
    if (hop["counted"].get<bool>() && !hop["contact_ms"].is_null())
      true_ms.push_back(wanted["contact_ms"].get<double>());
  }
  EXPECT_EQ(got.size(), shown) << "as many landings as there are";
  if (true_ms.empty()) return;
  EXPECT_EQ(result["hop"]["count"].get<std::size_t>(), true_ms.size());
  const double u_ms = result["hop"]["contact_ms_u"].get<double>();
  constexpr double picked_ms = 3.4;  // one interval's SD by picking frames at 120 a second, T / sqrt 6 (derived here)
  EXPECT_NEAR(result["hop"]["contact_ms"].get<double>(), median(true_ms), 2 * picked_ms);
  constexpr double bending_ms =
      5.7;  // of a shoe that bends, which the rendered one here hardly does (method-contact.md)
  EXPECT_LT(u_ms, std::hypot(picked_ms, bending_ms));
}

void expect_true_sound_offset(const json& result, const json& truth) {
  const json& hop = result["hop"];
  ASSERT_FALSE(hop["sound_offset_ms"].is_null());
  const double off_ms = hop["sound_offset_ms"].get<double>() - 1000 * truth["hop"]["sound_offset_s"].get<double>();
  const double u_ms = hop["sound_offset_ms_u"].get<double>();
  EXPECT_LT(std::abs(off_ms), 2 * u_ms + 1);
  EXPECT_LT(u_ms, 3.5);
}

void expect_no_ground_times(const json& result) {
  for (const char* field : {"contact_ms", "flight_ms", "height_cm", "rsi", "stiffness_kn_m"}) {
    EXPECT_TRUE(result["hop"][field].is_null()) << field;
    for (const json& hop : result["hop"]["hops"]) EXPECT_TRUE(hop[field].is_null()) << field << " of " << hop.dump();
  }
}

std::string note_of(const json& result, const std::string& code) {
  std::string found;
  std::set<std::string> texts;
  for (const json& note : result["notes"]) {
    const auto text = note["text"].get<std::string>();
    EXPECT_TRUE(texts.insert(text).second) << "said twice: " << text;
    EXPECT_FALSE(std::islower(static_cast<unsigned char>(text.at(0)))) << text;
    EXPECT_EQ(text.back(), '.') << text;
    if (note["code"] == code) found = text;
  }
  return found;
}

}  // namespace risetrace::test
