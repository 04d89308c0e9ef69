#include "report/result_json.h"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "report/sample_measurement.h"
#include "report/schema_check.h"

namespace risetrace::report {
namespace {

using nlohmann::ordered_json;

std::vector<std::string> keys_of(const ordered_json& object) {
  std::vector<std::string> keys;
  for (const auto& [key, value] : object.items()) keys.push_back(key);
  return keys;
}

TEST(ResultJson, HasThePromisedFieldsInTheirOrder) {
  const auto result = ordered_json::parse(result_json(test::sample_measurement(), "0.1.0"));
  const std::vector<std::string> top = {"schema", "program", "clip", "scale", "sticker", "heel_raise", "hop", "notes"};
  const auto got = keys_of(result);
  ASSERT_GE(got.size(), top.size());
  EXPECT_TRUE(std::equal(top.begin(), top.end(), got.begin()));
  const std::vector<std::string> raise = {
      "reps",    "count", "count_at", "reference_height_cm", "greatest_height_cm", "total_height_cm", "work_j",
      "set_end", "beat",  "knee_deg"};
  const auto got_raise = keys_of(result["heel_raise"]);
  EXPECT_TRUE(std::equal(raise.begin(), raise.end(), got_raise.begin()));
  const std::vector<std::string> rep = {"n",        "start_s",      "peak_s", "end_s",   "height_cm", "height_cm_u",
                                        "floor_cm", "of_reference", "low",    "lowered", "on_beat",   "counted"};
  const auto got_rep = keys_of(result["heel_raise"]["reps"][0]);
  EXPECT_TRUE(std::equal(rep.begin(), rep.end(), got_rep.begin()));
}

TEST(ResultJson, CarriesTheMeasuredValues) {
  const measure::Measurement m = test::sample_measurement();
  const auto result = ordered_json::parse(result_json(m, "0.1.0"));
  const auto& raise = result["heel_raise"];
  ASSERT_EQ(raise["reps"].size(), 12U);
  EXPECT_EQ(raise["count"], m.raises->count);
  EXPECT_EQ(raise["count_at"]["0.75"], m.raises->count);
  EXPECT_EQ(raise["set_end"]["why"], "low-height");
  EXPECT_EQ(raise["set_end"]["after_rep"], 11);
  EXPECT_NEAR(raise["reps"][4]["height_cm"].get<double>(), m.raises->reps[4].height_cm, 0.5e-4);
  EXPECT_NEAR(raise["reps"][4]["peak_s"].get<double>(), m.raises->reps[4].peak_s, 0.5e-6);
  EXPECT_NEAR(raise["reps"][4]["of_reference_u"].get<double>(), 0.0007, 1e-9);
  EXPECT_NEAR(raise["reps"][4]["height_cm_u_own"].get<double>(), 0.006, 1e-9);
  EXPECT_NEAR(raise["reps"][4]["start_s_u"].get<double>(), 0.005, 1e-9);
  EXPECT_NEAR(raise["set_end"]["t_s_u"].get<double>(), 0.004, 1e-9);
  EXPECT_NEAR(raise["total_height_cm_u"].get<double>(), *m.raises->total_height_cm_u, 0.5e-4);
  EXPECT_NEAR(raise["work_j_u"].get<double>(), *m.work_j_u, 0.5e-2);
  EXPECT_NEAR(result["scale"]["parts"]["plane_offset"].get<double>(), 0.01196, 1e-9);
  EXPECT_TRUE(raise["reps"][0]["on_beat"].is_null());
  EXPECT_EQ(raise["reps"][5]["lowered"], false);
  EXPECT_TRUE(result["hop"].is_null());
  EXPECT_EQ(result["asked"]["side"], "left");
}

TEST(ResultJson, UnknownIsNullNeverZeroOrNan) {
  measure::Measurement m = test::sample_measurement();
  m.raises->reps[2].height_cm_u = std::numeric_limits<double>::quiet_NaN();
  m.raises->reference_height_cm.reset();
  m.raises->rep_period_s = std::numeric_limits<double>::infinity();
  m.work_j.reset();
  m.raises->reps[2].of_reference_u.reset();
  m.raises->total_height_cm_u.reset();
  m.scale_parts.clear();
  m.asked.side = Side::not_stated;
  const std::string text = result_json(m, "0.1.0");
  const auto result = ordered_json::parse(text);
  EXPECT_TRUE(result["heel_raise"]["reps"][2]["height_cm_u"].is_null());
  EXPECT_TRUE(result["heel_raise"]["reps"][2]["of_reference_u"].is_null());
  EXPECT_TRUE(result["heel_raise"]["total_height_cm_u"].is_null());
  EXPECT_TRUE(result["scale"]["parts"].is_null());
  EXPECT_TRUE(result["heel_raise"]["reference_height_cm"].is_null());
  EXPECT_TRUE(result["heel_raise"]["beat"]["rep_period_s"].is_null());
  EXPECT_TRUE(result["heel_raise"]["work_j"].is_null());
  EXPECT_TRUE(result["asked"]["side"].is_null());
  EXPECT_EQ(test::misfit("result.schema.json", text), "");
}

TEST(ResultJson, FitsItsSchema) {
  EXPECT_EQ(test::misfit("result.schema.json", result_json(test::sample_measurement(), "0.1.0")), "");
  EXPECT_EQ(test::misfit("result.schema.json", result_json(test::sample_measurement(45), "0.1.0")), "");
  EXPECT_EQ(test::misfit("result.schema.json", result_json(test::sample_without_scale(), "0.1.0")), "");
}

TEST(ResultJson, SchemaRefusesWhatIsNotAResult) {
  auto result = ordered_json::parse(result_json(test::sample_measurement(), "0.1.0"));
  result["heel_raise"]["count_at"].erase("0.50");
  EXPECT_NE(test::misfit("result.schema.json", result.dump()), "");
  auto wrong_why = ordered_json::parse(result_json(test::sample_measurement(), "0.1.0"));
  wrong_why["heel_raise"]["set_end"]["why"] = "tired";
  EXPECT_NE(test::misfit("result.schema.json", wrong_why.dump()), "");
}

TEST(ResultJson, SurvivesAFileNameThatIsNotUtf8) {
  measure::Measurement m = test::sample_measurement();
  m.clip.file = "heel\xff\xfe.mp4";
  const auto result = ordered_json::parse(result_json(m, "0.1.0"), nullptr, false);
  EXPECT_FALSE(result.is_discarded());
}

}  // namespace
}  // namespace risetrace::report
