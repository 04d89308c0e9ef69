// What a result's own files count to, read back.
#include "review/recount.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "hop/judge_hops.h"
#include "hop/made_hops.h"
#include "measure/take_corrections.h"
#include "report/recount_text.h"
#include "report/result_json.h"
#include "report/sample_hops.h"
#include "report/sample_measurement.h"
#include "report/schema_check.h"
#include "report/trace_csv.h"
#include "review/made_corrections.h"
#include "review/read_corrections.h"
#include "review/read_kept_result.h"

namespace risetrace::review {
namespace {

using nlohmann::json;

// Its reps found from its own path, as measuring does.
measure::Measurement measured_raises(const Corrections& corrections = {}) {
  measure::Measurement m = risetrace::test::sample_measurement();
  m.corrections = corrections;
  EXPECT_TRUE(measure::find_raises(m).ok());
  return m;
}

measure::Measurement measured_hops() {
  measure::Measurement m = risetrace::test::sample_hops();
  hop::HopQuestion question{m.asked.beat_bpm, m.asked.mass_kg, m.clip.duration_s, true};
  m.hops = hop::judge_hops(m.contacts, m.beats, question, hop::test::protocol());
  return m;
}

Result<KeptResult> kept(const measure::Measurement& m) {
  return read_kept_texts(report::result_json(m, "0.1.0"), report::trace_csv(m), risetrace::test::sample_protocol());
}

json counted(const measure::Measurement& m) {
  const auto read = kept(m);
  EXPECT_TRUE(read.ok()) << (read ? "" : read.error().why);
  if (!read) return {};
  const auto again = recount(*read, read->corrections, {}, hop::test::protocol());
  EXPECT_TRUE(again.ok());
  const std::string text = report::recount_json(*again, "0.1.0");
  EXPECT_EQ(risetrace::test::misfit("recount.schema.json", text), "");
  return json::parse(text);
}

Corrections as_read(const std::vector<json>& list) {
  const json file = {{"schema", "risetrace/corrections/1"}, {"corrections", list}};
  const auto read = read_corrections_text(file.dump(), "c.json");
  EXPECT_TRUE(read.ok()) << (read ? "" : read.error().why);
  return read ? *read : Corrections{};
}

json said(json more) {
  more.update({{"at", "2026-03-02T10:15:00Z"}, {"by", "T-1"}, {"why", "seen in the clip"}});
  return more;
}

// All that both say; uncertainties are a result's alone.
void expect_same(const json& recounted, const json& result) {
  for (const auto& [name, value] : recounted.items()) {
    if (!result.contains(name) || name.ends_with("_u") || name.ends_with("_u_own")) continue;
    if (value.is_object() && result[name].is_object()) {
      expect_same(value, result[name]);
    } else if (value.is_array() && result[name].is_array()) {
      ASSERT_EQ(value.size(), result[name].size()) << name;
      for (std::size_t i = 0; i < value.size(); ++i) expect_same(value[i], result[name][i]);
    } else {
      EXPECT_EQ(value, result[name]) << name;
    }
  }
}

}  // namespace

TEST(Recount, OfRaisesWithNoChangeSaysWhatTheResultSaysToTheLastDigit) {
  const measure::Measurement m = measured_raises();
  ASSERT_EQ(m.raises->reps.size(), 12U);
  const json result = json::parse(report::result_json(m, "0.1.0"));
  EXPECT_EQ(risetrace::test::misfit("result.schema.json", result.dump()), "");
  expect_same(counted(m)["heel_raise"], result["heel_raise"]);
}

TEST(Recount, OfACorrectedResultGoesBackToWhatWasFound) {
  const measure::Measurement plain = measured_raises();
  const double peak_s = plain.raises->reps[4].peak_s;
  const measure::Measurement m =
      measured_raises(as_read({said({{"what", "take-out"}, {"rep", {{"peak_s", peak_s}}}}),
                               said({{"what", "end-fraction"}, {"after", {{"end_fraction", 0.5}}}})}));
  const json result = json::parse(report::result_json(m, "0.1.0"));
  EXPECT_EQ(risetrace::test::misfit("result.schema.json", result.dump()), "");
  EXPECT_EQ(result["corrections"].size(), 2U);
  EXPECT_EQ(result["automatic"]["count"], plain.raises->count);
  EXPECT_EQ(result["automatic"]["rules"]["end_fraction"], 0.75);
  EXPECT_EQ(result["asked"]["end_fraction"], 0.5);
  const json again = counted(m);
  expect_same(again["heel_raise"], result["heel_raise"]);
  EXPECT_EQ(again["automatic"]["count"], plain.raises->count);
  const auto none = recount(*kept(m), {}, {}, hop::test::protocol());
  ASSERT_TRUE(none.ok());
  EXPECT_EQ(none->raises->count, plain.raises->count) << "without them the corrections are gone";
}

TEST(Recount, AnEmptyListOfCorrectionsChangesNoByte) {
  EXPECT_EQ(report::result_json(measured_raises(), "0.1.0"),
            report::result_json(measured_raises(as_read({})), "0.1.0"));
}

TEST(Recount, WhatIsAskedGoesBeforeTheRulesOfTheResult) {
  const measure::Measurement m = measured_raises();
  HandSettings asked;
  asked.end_fraction = 0.5;
  const auto again = recount(*kept(m), {}, asked, hop::test::protocol());
  ASSERT_TRUE(again.ok());
  EXPECT_EQ(again->raises->count, m.raises->count_at[0].count);
  EXPECT_NE(again->raises->count, m.raises->count);
}

TEST(Recount, SaysWhatOnlyMeasuringCanTakeIn) {
  const json heel = said({{"what", "heel"}, {"after", {{"x_px", 100}, {"y_px", 200}}}});
  const auto again = recount(*kept(measured_raises()), as_read({heel}), {}, hop::test::protocol());
  ASSERT_TRUE(again.ok());
  EXPECT_EQ(again->needs_measuring, std::vector<std::string>{"heel"});
  const measure::Measurement with = measured_raises(as_read({heel}));
  const auto of_it = recount(*kept(with), as_read({heel}), {}, hop::test::protocol());
  ASSERT_TRUE(of_it.ok());
  EXPECT_TRUE(of_it->needs_measuring.empty()) << "its trace was made with that already";
}

TEST(Recount, OfHopsWithNoChangeSaysWhatTheResultSaysToTheLastDigit) {
  const measure::Measurement m = measured_hops();
  const json result = json::parse(report::result_json(m, "0.1.0"));
  EXPECT_EQ(risetrace::test::misfit("result.schema.json", result.dump()), "");
  expect_same(counted(m)["hop"], result["hop"]);
}

TEST(Recount, OfHopsTakesALandingOut) {
  const measure::Measurement m = measured_hops();
  const auto frame = m.hops->hops[6].touchdown_frame;
  ASSERT_TRUE(m.hops->hops[6].counted);
  const auto again = recount(*kept(m), as_read({said({{"what", "take-out"}, {"hop", {{"touchdown_frame", frame}}}})}),
                             {}, hop::test::protocol());
  ASSERT_TRUE(again.ok());
  EXPECT_EQ(again->hops->count, m.hops->count - 1);
  EXPECT_EQ(again->found_hops->count, m.hops->count);
}

TEST(Recount, ABadResultIsRefusedWithWhatIsWrong) {
  const measure::Measurement m = measured_raises();
  const std::string result = report::result_json(m, "0.1.0");
  const std::string trace = report::trace_csv(m);
  const auto why = [](const std::string& document, const std::string& csv) {
    const auto read = read_kept_texts(document, csv, risetrace::test::sample_protocol());
    EXPECT_FALSE(read.ok());
    if (read) return std::string();
    EXPECT_EQ(read.error().fault, Fault::result_unreadable);
    return read.error().why;
  };
  EXPECT_EQ(why("{", trace), "result.json is not JSON");
  EXPECT_EQ(why("{}", trace), "result.json: schema is missing");
  EXPECT_NE(why(result, "frame,time_s\r\n0,0\r\n").find("there is no column exact_s"), std::string::npos);
  std::string broken = trace;
  broken.replace(broken.rfind("\r\n", broken.size() - 3) - 4, 1, "x");
  EXPECT_NE(why(result, broken).find("is no number"), std::string::npos);
  json lunge = json::parse(result);
  lunge["asked"]["test"] = "lunge";
  EXPECT_NE(why(lunge.dump(), trace).find("nothing to count anew"), std::string::npos);
  json none = json::parse(result);
  none["heel_raise"] = nullptr;
  EXPECT_NE(why(none.dump(), trace).find("heel_raise is null"), std::string::npos);
  EXPECT_FALSE(read_kept_result("/nowhere/at/all", risetrace::test::sample_protocol()).ok());
}

}  // namespace risetrace::review
