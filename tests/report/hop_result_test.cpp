// Hops in result.json and trace.csv.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

#include "report/hop_samples.h"
#include "report/result_json.h"
#include "report/sample_hops.h"
#include "report/schema_check.h"
#include "report/trace_csv.h"

namespace risetrace::report {
namespace {

using nlohmann::ordered_json;

std::vector<std::string> keys_of(const ordered_json& object) {
  std::vector<std::string> keys;
  for (const auto& [key, value] : object.items()) keys.push_back(key);
  return keys;
}

void expect_begins(const ordered_json& object, const std::vector<std::string>& promised) {
  const auto got = keys_of(object);
  ASSERT_GE(got.size(), promised.size());
  EXPECT_TRUE(std::equal(promised.begin(), promised.end(), got.begin())) << object.dump().substr(0, 400);
}

TEST(HopResult, HasThePromisedFieldsInTheirOrder) {
  const auto result = ordered_json::parse(result_json(test::sample_hops(), "0.1.0"));
  expect_begins(result, {"schema", "program", "clip", "scale", "sticker", "heel_raise", "hop", "notes"});
  const auto& hop = result["hop"];
  expect_begins(hop, {"hops", "count", "contact_ms", "flight_ms", "hop_rate_hz", "height_cm", "rsi", "stiffness_kn_m",
                      "steps", "lowest_kept_bpm"});
  expect_begins(hop["hops"][0],
                {"n", "touchdown_s", "takeoff_s", "touchdown_frame", "takeoff_frame", "contact_ms", "contact_ms_u",
                 "flight_ms", "flight_ms_u", "period_ms", "height_cm", "rsi", "stiffness_kn_m", "counted"});
  expect_begins(hop["steps"][0], {"beat_bpm", "from_s", "to_s", "hops", "hop_rate_hz", "rate_error_pct", "phase_lock",
                                  "contact_ms", "kept"});
}

TEST(HopResult, CarriesTheMeasuredValues) {
  const measure::Measurement m = test::sample_hops();
  const auto result = ordered_json::parse(result_json(m, "0.1.0"));
  EXPECT_TRUE(result["heel_raise"].is_null());
  const auto& hop = result["hop"];
  ASSERT_EQ(hop["hops"].size(), 30U);
  EXPECT_EQ(hop["count"], m.hops->count);
  EXPECT_EQ(hop["hops"][0]["why_not"], "one of the first 3");
  EXPECT_TRUE(hop["hops"][5]["why_not"].is_null());
  EXPECT_EQ(hop["hops"][5]["touchdown_frame"], m.hops->hops[5].touchdown_frame);
  EXPECT_NEAR(hop["hops"][5]["contact_ms"].get<double>(), *m.hops->hops[5].contact_ms, 0.5e-3);
  EXPECT_TRUE(hop["hops"][29]["takeoff_frame"].is_null());
  EXPECT_TRUE(hop["hops"][29]["contact_ms"].is_null());
  EXPECT_EQ(hop["lowest_kept_bpm"], 140.0);
  EXPECT_EQ(hop["steps"][1]["phase_p"], 3e-7);
  EXPECT_EQ(hop["beat"]["asked_bpm"], 150.0);
  EXPECT_TRUE(hop["beat"]["heard_bpm"].is_null());  // a ladder has no one beat
  EXPECT_EQ(hop["contact_from"], "sole");
  EXPECT_TRUE(hop["contacts"][0]["touchdown"].is_null());
  EXPECT_EQ(hop["contacts"][14]["doubtful"], true);
  EXPECT_EQ(result["asked"]["test"], "hop");
  EXPECT_FALSE(result["asked"].contains("end_fraction"));
}

TEST(HopResult, UnknownIsNull) {
  measure::Measurement m = test::sample_hops({.times = false});
  m.hops->rsi = std::numeric_limits<double>::quiet_NaN();
  m.hops->lowest_kept_bpm.reset();
  m.asked.beat_bpm.reset();
  m.hops->steps[0].phase_p.reset();
  const std::string text = result_json(m, "0.1.0");
  const auto hop = ordered_json::parse(text)["hop"];
  for (const char* field : {"contact_ms", "contact_ms_u", "flight_ms", "hop_rate_hz", "height_cm", "rsi",
                            "stiffness_kn_m", "lowest_kept_bpm", "contact_from"}) {
    EXPECT_TRUE(hop[field].is_null()) << field;
  }
  for (const char* field : {"contact_ms", "flight_ms", "height_cm", "takeoff_s"}) {
    EXPECT_TRUE(hop["hops"][4][field].is_null()) << field;
  }
  EXPECT_FALSE(hop["hops"][4]["touchdown_s"].is_null());
  EXPECT_TRUE(hop["steps"][0]["phase_p"].is_null());
  EXPECT_TRUE(hop["beat"]["asked_bpm"].is_null());
  EXPECT_EQ(test::misfit("result.schema.json", text), "");
}

TEST(HopResult, FitsItsSchemaAndTheSchemaRefusesWhatIsNone) {
  for (const int hops : {1, 30, 120}) {
    for (const bool scale : {true, false}) {
      const std::string text = result_json(test::sample_hops({.hops = hops, .steps = 6, .scale = scale}), "0.1.0");
      EXPECT_EQ(test::misfit("result.schema.json", text), "");
    }
  }
  const auto good = ordered_json::parse(result_json(test::sample_hops(), "0.1.0"));
  auto lacking = good;
  lacking["hop"]["hops"][3].erase("flight_ms");
  EXPECT_NE(test::misfit("result.schema.json", lacking.dump()), "");
  auto beyond = good;
  beyond["hop"]["steps"][0]["phase_lock"] = 1.2;
  EXPECT_NE(test::misfit("result.schema.json", beyond.dump()), "");
  auto negative = good;
  negative["hop"]["contact_ms"] = -3;
  EXPECT_NE(test::misfit("result.schema.json", negative.dump()), "");
}

TEST(HopResult, NoHopSetIsNull) {
  measure::Measurement m = test::sample_hops();
  m.hops.reset();
  const std::string text = result_json(m, "0.1.0");
  EXPECT_TRUE(ordered_json::parse(text)["hop"].is_null());
  EXPECT_EQ(test::misfit("result.schema.json", text), "");
}

TEST(HopResult, AHeelRaiseSaysWhatBeatWasHeard) {
  measure::Measurement m = test::sample_measurement();
  m.beats.bpm = 59.8;
  const auto result = ordered_json::parse(result_json(m, "0.1.0"));
  EXPECT_EQ(result["heel_raise"]["beat"]["heard_bpm"], 59.8);
  EXPECT_EQ(result["asked"]["test"], "heel-raise");
  EXPECT_TRUE(result["hop"].is_null());
}

hop::Contact contact(std::optional<std::int64_t> from, std::optional<std::int64_t> to) {
  hop::Contact out;
  if (from) out.touchdown = hop::Instant{0.0, 0.0, *from, hop::Witness::sole};
  if (to) out.takeoff = hop::Instant{0.0, 0.0, *to, hop::Witness::sole};
  return out;
}

TEST(GroundAt, IsKnownBetweenKnownEventsOnly) {
  hop::Contacts contacts;
  contacts.contacts = {contact(std::nullopt, 10), contact(20, 30), contact(40, std::nullopt), contact(std::nullopt, 70),
                       contact(80, 90)};
  const GroundAt ground(contacts);
  const auto all = [&](std::int64_t from, std::int64_t to, Ground wanted) {
    for (std::int64_t frame = from; frame < to; ++frame) EXPECT_EQ(ground.at(frame), wanted) << frame;
  };
  all(0, 10, Ground::unknown);
  all(10, 20, Ground::off);
  all(20, 30, Ground::on);
  all(30, 40, Ground::off);
  all(40, 70, Ground::unknown);  // a take-off and a touchdown were hidden
  all(70, 80, Ground::off);
  all(80, 90, Ground::on);
  all(90, 95, Ground::unknown);
  contacts.times_known = false;
  EXPECT_EQ(GroundAt(contacts).at(25), Ground::unknown);
  EXPECT_EQ(GroundAt({}).at(25), Ground::unknown);
}

std::vector<std::vector<std::string>> table_of(const std::string& csv) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream in(csv);
  for (std::string line; std::getline(in, line);) {
    EXPECT_TRUE(line.ends_with('\r'));  // RFC 4180: CRLF
    if (!line.empty()) line.pop_back();
    rows.emplace_back(1);
    for (const char c : line) {
      if (c == ',') rows.back().emplace_back();
      if (c != ',') rows.back().back() += c;
    }
  }
  return rows;
}

TEST(HopTrace, HasARowAFrameAndSaysWhenTheFootTouched) {
  const measure::Measurement m = test::sample_hops();
  const auto rows = table_of(trace_csv(m));
  ASSERT_EQ(rows.size(), static_cast<std::size_t>(m.clip.frames) + 1);
  EXPECT_EQ(rows[0], (std::vector<std::string>{"frame", "time_s", "heel_x_px", "heel_y_px", "heel_seen", "heel_up_cm",
                                               "forefoot_x_px", "forefoot_y_px", "forefoot_seen", "clearance_px",
                                               "clearance_px_u", "clearance_cm", "in_contact", "hop", "exact_s"}));
  for (const auto& row : rows) ASSERT_EQ(row.size(), 15U);
  const hop::Hop& hop = m.hops->hops[7];
  const auto row_of = [&](std::int64_t frame) { return rows[static_cast<std::size_t>(frame) + 1]; };
  EXPECT_EQ(row_of(hop.touchdown_frame - 1)[12], "0");
  EXPECT_EQ(row_of(hop.touchdown_frame)[12], "1");
  EXPECT_EQ(row_of(*hop.takeoff_frame - 1)[12], "1");
  EXPECT_EQ(row_of(*hop.takeoff_frame)[12], "0");
  EXPECT_EQ(row_of(hop.touchdown_frame)[13], "8");
  EXPECT_EQ(row_of(hop.touchdown_frame - 1)[13], "8");  // its flight
  EXPECT_EQ(row_of(0)[12], "");
  const std::int64_t top = hop.touchdown_frame - 18;  // in the middle of the flight before
  EXPECT_NEAR(std::stod(row_of(top)[11]), std::stod(row_of(top)[9]) / test::hops_px_per_cm, 1e-4);
  EXPECT_NEAR(std::stod(row_of(top)[11]), *hop.height_cm, 0.15);
  EXPECT_EQ(row_of(17)[9], "");  // not seen there
  EXPECT_EQ(row_of(5)[4], "0");
  EXPECT_EQ(row_of(5)[5], "");
}

TEST(HopTrace, WithoutAScaleOnlyPixelsAndWithoutTimesNoContact) {
  for (const auto& row : table_of(trace_csv(test::sample_hops({.scale = false})))) {
    if (row[0] == "frame") continue;
    ASSERT_EQ(row[5], "");
    ASSERT_EQ(row[11], "");
  }
  for (const auto& row : table_of(trace_csv(test::sample_hops({.times = false})))) {
    if (row[0] == "frame") continue;
    ASSERT_EQ(row[6], "");
    ASSERT_EQ(row[9], "");
    ASSERT_EQ(row[12], "");
  }
}

TEST(HopTraceDrawn, TakesTheBestThatWasSeen) {
  measure::Measurement m = test::sample_hops();
  const auto title = [&] { return hop_trace(m, hop_samples(m)).title; };
  EXPECT_EQ(title(), "sole above the floor, cm");
  m.scale = {};
  EXPECT_EQ(title(), "sole above the floor, px");
  m.clearance.samples.clear();
  EXPECT_THAT(title(), testing::HasSubstr("forefoot"));
  m.forefoot.reset();
  EXPECT_THAT(title(), testing::HasSubstr("heel"));
}

// Whatever is missing, in-contact rows are those between a known touchdown and its own known take-off.
RC_GTEST_PROP(HopTraceLaw, InContactFramesAreTheContactsFrames, ()) {
  hop::Contacts contacts;
  std::int64_t at = 0;
  std::vector<bool> on(400, false);
  const int all = *rc::gen::inRange(0, 8);
  for (int i = 0; i < all; ++i) {
    const std::int64_t from = at + *rc::gen::inRange(1, 20);
    const std::int64_t to = from + *rc::gen::inRange(1, 20);
    const bool begins = *rc::gen::arbitrary<bool>();
    const bool ends = *rc::gen::arbitrary<bool>();
    contacts.contacts.push_back(
        contact(begins ? std::optional(from) : std::nullopt, ends ? std::optional(to) : std::nullopt));
    for (std::int64_t frame = from; begins && ends && frame < to; ++frame) on[static_cast<std::size_t>(frame)] = true;
    at = to;
  }
  const GroundAt ground(contacts);
  for (std::size_t frame = 0; frame < on.size(); ++frame) {
    RC_ASSERT((ground.at(static_cast<std::int64_t>(frame)) == Ground::on) == on[frame]);
  }
}

}  // namespace
}  // namespace risetrace::report
