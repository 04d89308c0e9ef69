#include "report/screen_json.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <bit>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "place.h"
#include "report/sample_open_screen.h"
#include "report/schema_check.h"
#include "visit/evaluate.h"
#include "visit/read_screen.h"

namespace risetrace::report {
namespace {

using nlohmann::ordered_json;

TEST(ScreenJson, FitsItsSchema) {
  EXPECT_EQ(test::misfit("screen.schema.json", screen_json(test::sample_open_screen(), "0.1.0")), "");
  EXPECT_EQ(test::misfit("screen.schema.json", screen_json(test::sample_open_refer(), "0.1.0")), "");
}

// Every object of the document, one after the other, with a field that nobody knows, then without each of its own.
void each_spoilt(ordered_json& whole, ordered_json& part, const std::string& place) {
  if (part.is_array()) {
    for (auto& item : part) each_spoilt(whole, item, place + "[]");
  }
  if (!part.is_object()) return;
  part["A field of nobody"] = 1;
  EXPECT_NE(test::misfit("screen.schema.json", whole.dump()), "") << "more in " << place;
  part.erase("A field of nobody");
  for (auto& item : part.items()) each_spoilt(whole, item.value(), place + "." + item.key());
}

TEST(ScreenJson, SchemaLetsNoObjectHoldMore) {
  auto document = ordered_json::parse(screen_json(test::sample_open_screen(), "0.1.0"));
  each_spoilt(document, document, "");
}

TEST(ScreenJson, SchemaRefusesMissingAndMisspelt) {
  const auto document = ordered_json::parse(screen_json(test::sample_open_screen(), "0.1.0"));
  for (const auto& item : document.items()) {
    auto less = document;
    less.erase(item.key());
    EXPECT_NE(test::misfit("screen.schema.json", less.dump()), "") << "without " << item.key();
  }
  auto wrong = document;
  wrong["results"][0]["got_by"] = "guess";
  EXPECT_NE(test::misfit("screen.schema.json", wrong.dump()), "");
  wrong = document;
  wrong["results"][2]["values"]["reps"] = "17";
  EXPECT_NE(test::misfit("screen.schema.json", wrong.dump()), "");
}

TEST(ScreenJson, CautionsComeFirst) {
  const auto document = ordered_json::parse(screen_json(test::sample_open_refer(), "0.1.0"));
  auto field = document.begin();
  EXPECT_EQ(field.key(), "schema");
  EXPECT_EQ((++field).key(), "cautions");
  EXPECT_EQ(document["cautions"]["refer"], true);
  EXPECT_EQ(document["cautions"]["same_day"], true);
  EXPECT_EQ(document["cautions"]["yes"][0]["means"], "refer-same-day");
  EXPECT_EQ(document["plan"]["made"], false);
  EXPECT_EQ(document["plan"]["why_not"], "refer");
}

TEST(ScreenJson, CarriesEveryPart) {
  const auto document = ordered_json::parse(screen_json(test::sample_open_screen(), "0.1.0"));
  const auto& raise = document["results"][2];
  EXPECT_EQ(raise["values"]["reps"], 17.0);
  EXPECT_TRUE(raise["values"]["reps_u"].is_null());
  EXPECT_EQ(raise["values"]["greatest_height_cm_u"], 0.11);
  EXPECT_EQ(raise["strokes"][0]["height_cm"], 8.7);
  EXPECT_EQ(raise["trace"]["t_s"].size(), 3U);
  EXPECT_EQ(document["results"][6]["strokes"][0]["contact_ms"], 271.0);
  EXPECT_EQ(document["results"][6]["beats"][1]["kept"], false);
  const auto& side = document["comparison"]["sides"][0];
  EXPECT_EQ(side["left_minus_right"]["difference"], -7.0);
  EXPECT_TRUE(side["left_minus_right"]["beyond"]["measuring"].is_null());
  EXPECT_EQ(side["left_minus_right"]["beyond"]["noise_optimistic"], true);
  EXPECT_EQ(side["left_minus_right"]["beyond"]["noise_cautious"], false);
  EXPECT_EQ(document["comparison"]["sides"][1]["why_not"], "one-side");
  EXPECT_EQ(document["comparison"]["references"][0]["reference"]["source"],
            "Lunsford & Perry 1995, Phys Ther 75:694-698");
  EXPECT_TRUE(document["reading"]["signs"][1]["state"].is_null());
  EXPECT_EQ(document["plan"]["lines"][0]["rung"]["reps_high"], 15);
  EXPECT_EQ(document["trends"][0]["verdict"], "not-changed");
  EXPECT_EQ(document["models_used"][1]["own"], true);
  EXPECT_EQ(document["session"]["person"]["affected_side"], "left");
}

TEST(ScreenJson, NamesFilesWithoutTheirFolders) {
  const std::string text = screen_json(test::sample_open_screen(), "0.1.0");
  const auto document = ordered_json::parse(text);
  EXPECT_EQ(document["session"]["tests"][0]["file"], "left.mp4");
  EXPECT_EQ(document["session"]["earlier"][0], "screen.json");
  EXPECT_EQ(text.find("visits/"), std::string::npos);
}

TEST(ScreenJson, UnknownIsNullOrAbsentNeverZeroOrNan) {
  visit::Screen screen = test::sample_open_screen();
  screen.results[2].values["work_j"].value = std::numeric_limits<double>::quiet_NaN();
  screen.results[2].values["greatest_height_cm"].u = std::numeric_limits<double>::infinity();
  screen.trends[0].change = std::numeric_limits<double>::quiet_NaN();
  const std::string text = screen_json(screen, "0.1.0");
  const auto document = ordered_json::parse(text);
  EXPECT_FALSE(document["results"][2]["values"].contains("work_j"));
  EXPECT_TRUE(document["results"][2]["values"]["greatest_height_cm_u"].is_null());
  EXPECT_TRUE(document["trends"][0]["change"].is_null());
  EXPECT_EQ(test::misfit("screen.schema.json", text), "");
}

TEST(ScreenJson, IsTheSameForTheSameScreenAndAlwaysUtf8) {
  visit::Screen screen = test::sample_open_screen();
  EXPECT_EQ(screen_json(screen, "0.1.0"), screen_json(screen, "0.1.0"));
  screen.session.remark = "bad \xff\xfe end";
  EXPECT_FALSE(ordered_json::parse(screen_json(screen, "0.1.0"), nullptr, false).is_discarded());
}

TEST(ScreenJson, KeepsListsOfNumbersOnOneLine) {
  const std::string text = screen_json(test::sample_open_screen(), "0.1.0");
  EXPECT_NE(text.find("\"t_s\": [0.0,0.016667,0.033333]"), std::string::npos);
  EXPECT_TRUE(text.ends_with("}\n"));
}

// Any double that is finite and within what a reader takes.
rc::Gen<double> any_number() {
  return rc::gen::map(rc::gen::arbitrary<std::uint64_t>(), [](std::uint64_t bits) {
    const auto number = std::bit_cast<double>(bits);
    return std::isfinite(number) && std::abs(number) < 1e300 ? number : static_cast<double>(bits % 1000) / 7.0;
  });
}

rc::Gen<double> any_size() {
  return rc::gen::map(any_number(), [](double number) { return std::abs(number); });
}

std::optional<double> maybe(const rc::Gen<double>& gen) {
  return *rc::gen::arbitrary<bool>() ? std::optional<double>(*gen) : std::nullopt;
}

visit::Values any_values() {
  visit::Values values;
  for (const char* quantity : {"reps", "greatest_height_cm", "height_loss_cm_per_rep", "rsi_m_s", "contact_ms"}) {
    if (*rc::gen::arbitrary<bool>()) values[quantity] = {*any_number(), maybe(any_size()), *any_size()};
  }
  return values;
}

std::string any_word() { return *rc::gen::element<std::string>("", "heel", "mal \"leolus\"", "ankle, outer\n", "Ü"); }

visit::TestResult any_result(Test test, Side side, Knee knee) {
  visit::TestResult result;
  result.slot = {test, side, knee};
  result.got_by = *rc::gen::element(visit::GotBy::clip, visit::GotBy::result, visit::GotBy::hand);
  result.values = any_values();
  for (int i = *rc::gen::inRange(0, 4); i > 0; --i) {
    result.beats.push_back({*any_size(), *rc::gen::arbitrary<bool>(), any_values()});
  }
  for (int i = *rc::gen::inRange(0, 4); i > 0; --i) {
    result.strokes.push_back({i, *any_number(), *any_number(), *rc::gen::arbitrary<bool>()});
  }
  result.asked_bpm = maybe(any_size());
  result.end_fraction = maybe(any_size());
  result.incline_deg = maybe(any_number());
  result.marker = any_word();
  result.scale_from = *rc::gen::element<std::string>("", "tags", "id-1", "given", "none");
  if (*rc::gen::arbitrary<bool>()) result.set_end = "pause";
  if (*rc::gen::arbitrary<bool>()) result.pain = {*rc::gen::inRange(0, 11), std::nullopt, *rc::gen::inRange(0, 11)};
  result.remark = any_word();
  result.recorded_at = any_word();
  if (*rc::gen::arbitrary<bool>()) result.notes = {{"seen", "A thing was seen.", maybe(any_number())}};
  return result;
}

void expect_same(const visit::Values& got, const visit::Values& wrote) {
  RC_ASSERT(got.size() == wrote.size());
  for (const auto& [quantity, value] : wrote) {
    RC_ASSERT(got.contains(quantity));
    RC_ASSERT(got.at(quantity).value == value.value);
    RC_ASSERT(got.at(quantity).u == value.u);
    RC_ASSERT(got.at(quantity).shared_relative_u == value.shared_relative_u);
  }
}

void expect_same(const visit::TestResult& got, const visit::TestResult& wrote) {
  RC_ASSERT(got.slot == wrote.slot);
  RC_ASSERT(got.got_by == wrote.got_by);
  expect_same(got.values, wrote.values);
  RC_ASSERT(got.beats.size() == wrote.beats.size());
  for (std::size_t i = 0; i < wrote.beats.size(); ++i) {
    RC_ASSERT(got.beats[i].beat_bpm == wrote.beats[i].beat_bpm);
    RC_ASSERT(got.beats[i].kept == wrote.beats[i].kept);
    expect_same(got.beats[i].values, wrote.beats[i].values);
  }
  RC_ASSERT(got.strokes.size() == wrote.strokes.size());
  for (std::size_t i = 0; i < wrote.strokes.size(); ++i) {
    RC_ASSERT(got.strokes[i].n == wrote.strokes[i].n);
    RC_ASSERT(got.strokes[i].t_s == wrote.strokes[i].t_s);
    RC_ASSERT(got.strokes[i].value == wrote.strokes[i].value);
    RC_ASSERT(got.strokes[i].counted == wrote.strokes[i].counted);
  }
  const auto form = [](const visit::TestResult& r) {
    return std::tie(r.asked_bpm, r.end_fraction, r.incline_deg, r.marker, r.scale_from, r.set_end);
  };
  RC_ASSERT(form(got) == form(wrote));
  const auto beside = [](const visit::TestResult& r) {
    return std::tie(r.pain.before, r.pain.worst, r.pain.after, r.remark, r.source_file, r.source_sha256, r.recorded_at,
                    r.program_version);
  };
  RC_ASSERT(beside(got) == beside(wrote));
  RC_ASSERT(got.notes.size() == wrote.notes.size());
  for (std::size_t i = 0; i < wrote.notes.size(); ++i) {
    RC_ASSERT(got.notes[i].code == wrote.notes[i].code);
    RC_ASSERT(got.notes[i].text == wrote.notes[i].text);
    RC_ASSERT(got.notes[i].t_s == wrote.notes[i].t_s);
  }
}

RC_GTEST_PROP(ScreenJson, ReadingGivesExactlyWhatWasWritten, ()) {
  visit::Screen screen = test::sample_open_screen();
  screen.results = {
      any_result(Test::heel_raise, Side::left, Knee::straight), any_result(Test::heel_raise, Side::left, Knee::bent),
      any_result(Test::hop, Side::both, Knee::not_stated), any_result(Test::lunge, Side::right, Knee::not_stated)};
  const auto read = visit::read_screen_text(screen_json(screen, "0.1.0"), "screen.json");
  RC_ASSERT(read.ok());
  RC_ASSERT(read->date == screen.session.date);
  RC_ASSERT(read->person_code == screen.session.person.code);
  RC_ASSERT(read->results.size() == screen.results.size());
  for (std::size_t i = 0; i < screen.results.size(); ++i) expect_same(read->results[i], screen.results[i]);
}

const model::VisitModels& shipped() {
  static const auto models = model::read_visit_models(test::source_folder() / "models");
  return *models;
}

visit::TestResult plain_result(Test test, Side side, Knee knee, const visit::Values& values) {
  visit::TestResult result;
  result.slot = {test, side, knee};
  result.values = values;
  result.marker = "heel";
  if (test == Test::hop) result.beats = {{150.0, true, values}};
  return result;
}

visit::Visit any_visit() {
  visit::Visit visit;
  visit.session = test::open_session();
  const auto amount = [](int low, int high) {
    return visit::Value{*rc::gen::inRange(10 * low, 10 * high) / 10.0, maybe(rc::gen::just(0.5)), 0.01};
  };
  for (const Side side : {Side::left, Side::right}) {
    for (const Knee knee : {Knee::straight, Knee::bent}) {
      if (!*rc::gen::arbitrary<bool>()) continue;
      visit.results.push_back(
          plain_result(Test::heel_raise, side, knee, {{"reps", amount(1, 40)}, {"greatest_height_cm", amount(4, 14)}}));
    }
    if (*rc::gen::arbitrary<bool>()) {
      visit.results.push_back(plain_result(Test::hop, side, Knee::not_stated,
                                           {{"contact_ms", amount(180, 400)}, {"rsi_m_s", amount(0, 2)}}));
    }
    if (*rc::gen::arbitrary<bool>()) {
      visit.results.push_back(plain_result(Test::lunge, side, Knee::not_stated, {{"knee_to_wall_cm", amount(2, 18)}}));
    }
  }
  const auto earlier = visit::read_screen_text(screen_json(test::sample_open_screen(), "0.1.0"), "screen.json");
  visit.earlier = {*earlier};
  visit.earlier[0].date = "2025-12-01";
  return visit;
}

// What the evaluation gives fits the schema, whatever was measured, and can be read at the next visit.
RC_GTEST_PROP(ScreenJson, AnEvaluatedVisitFitsAndIsReadBack, ()) {
  const auto screen = visit::evaluate(any_visit(), shipped());
  RC_ASSERT(screen.ok());
  const std::string text = screen_json(*screen, "0.1.0");
  RC_ASSERT(test::misfit("screen.schema.json", text) == "");
  const auto read = visit::read_screen_text(text, "screen.json");
  RC_ASSERT(read.ok());
  RC_ASSERT(read->results.size() == screen->results.size());
  for (std::size_t i = 0; i < read->results.size(); ++i) expect_same(read->results[i], screen->results[i]);
}

TEST(ScreenJson, SampleIsReadWithoutItsTraces) {
  const visit::Screen screen = test::sample_open_screen();
  const auto read = visit::read_screen_text(screen_json(screen, "0.1.0"), "screen.json");
  ASSERT_TRUE(read.ok()) << sentence(read.error());
  ASSERT_EQ(read->results.size(), screen.results.size());
  for (std::size_t i = 0; i < screen.results.size(); ++i) {
    EXPECT_EQ(key_of(read->results[i].slot), key_of(screen.results[i].slot));
    EXPECT_EQ(read->results[i].source_sha256, screen.results[i].source_sha256);
    EXPECT_TRUE(read->results[i].trace.empty());
  }
}

}  // namespace
}  // namespace risetrace::report
