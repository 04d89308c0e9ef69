// A whole visit through the program: the sample visit, the same visit again later, and every way to get it wrong.
#include <gtest/gtest.h>

#include <fstream>

#include "place.h"
#include "report/schema_check.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;
namespace fs = std::filesystem;

json by_hand(const std::string& test, const std::string& side, const json& numbers) {
  return {{"test", test}, {"side", side}, {"by_hand", numbers}};
}

json raises_by_hand(const std::string& side, const std::string& knee, int reps) {
  json entry = by_hand("heel-raise", side, {{"reps", reps}});
  entry["knee"] = knee;
  return entry;
}

json all_no() {
  json answers;
  for (const json& question : json::parse(read_file(source_folder() / "models/cautions.json"))["questions"]) {
    answers[question["key"].get<std::string>()] = "no";
  }
  return answers;
}

// Numbers typed in, no clip: quick to screen. The left leg is the weaker.
json typed_visit(const json& changes = json::object()) {
  json visit = {{"schema", "risetrace/session/1"},
                {"date", "2026-03-02"},
                {"person", {{"code", "R-017"}, {"birth_year", 1988}, {"sex", "female"}, {"mass_kg", 61.5}}},
                {"cautions", all_no()},
                {"tests",
                 {raises_by_hand("left", "straight", 12), raises_by_hand("right", "straight", 30),
                  by_hand("lunge", "left", {{"knee_to_wall_cm", 11.0}}),
                  by_hand("lunge", "right", {{"knee_to_wall_cm", 11.5}})}}};
  visit.merge_patch(changes);
  return visit;
}

std::string written(const Place& place, const std::string& name, const json& document) {
  write_file(place.path() / name, document.dump());
  return place / name;
}

json screened(const std::string& session, const std::string& out, const Words& more = {}) {
  Words arguments = {"screen", session, "--out", out, "--json"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  const Ran ran = risetrace_run(arguments);
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(misfit("screen.schema.json", ran.out), "");
  EXPECT_EQ(ran.out, read_file(out + "/screen.json"));
  return json::parse(ran.out, nullptr, false);
}

std::string text_of(const std::string& pdf) { return run({"pdftotext", "-layout", pdf, "-"}).out; }

const json* finding(const json& screen, const std::string& key) {
  for (const json& one : screen["reading"]["findings"]) {
    if (one["key"] == key) return &one;
  }
  return nullptr;
}

bool noted(const json& screen, const std::string& code) {
  for (const json& note : screen["notes"]) {
    if (note["code"] == code) return true;
  }
  return false;
}

}  // namespace

TEST(Screen, TheSampleVisit) {
  const Place place;
  const std::string session = (source_folder() / "sample-clips/visit.json").string();
  const json screen = screened(session, place / "visit");
  for (const char* file :
       {"values.csv", "fhir.json", "clinician.pdf", "runner.pdf", "tests/heel-raise-left-straight/result.json",
        "tests/heel-raise-right-straight/trace.csv", "tests/hop-both/result.json"}) {
    EXPECT_TRUE(fs::exists(place.path() / "visit" / file)) << file;
  }
  // The clips' truth: 10 and 7 counted rises (their own tests hold that); the right leg is the weaker, in height above
  // all.
  ASSERT_NE(finding(screen, "strength-recoil-unknown"), nullptr);
  EXPECT_EQ((*finding(screen, "strength-recoil-unknown"))["side"], "right");  // the first: lower than the left
  EXPECT_TRUE(screen["plan"]["made"].get<bool>());
  EXPECT_EQ(screen["plan"]["lines"][0]["leads"], "right");
  EXPECT_EQ(screen["reading"]["missing"], json::parse(R"(["hop/left", "hop/right"])"));
}

// The clip measured by `measure` and handed over as a result says the same as the clip itself.
TEST(Screen, AClipAndItsResultAreTheSame) {
  const Place place;
  const std::string clip = rendered(small_scene());
  measured(clip, place / "result", {"--side", "left", "--knee", "straight", "--mass", "61.5"});
  json entry = {{"test", "heel-raise"}, {"side", "left"}, {"knee", "straight"}, {"clip", clip}};
  const json from_clip = screened(written(place, "a.json", typed_visit({{"tests", {entry}}})), place / "a");
  entry.erase("clip");
  entry["result"] = "result";
  const json from_result = screened(written(place, "b.json", typed_visit({{"tests", {entry}}})), place / "b");
  ASSERT_EQ(from_clip["results"].size(), 1U);
  EXPECT_EQ(from_clip["results"][0]["values"], from_result["results"][0]["values"]);
  EXPECT_EQ(from_clip["results"][0]["got_by"], "clip");
  EXPECT_EQ(from_result["results"][0]["got_by"], "result");
}

TEST(Screen, CautionsComeFirstAndNoPlanIsMadeOverThem) {
  RISETRACE_NEEDS_TOOL("pdftotext");
  const Place place;
  const std::string session = written(place, "s.json", typed_visit({{"cautions", {{"clot", "yes"}}}}));
  const json screen = screened(session, place / "out");
  EXPECT_FALSE(screen["plan"]["made"].get<bool>());
  EXPECT_EQ(screen["plan"]["why_not"], "refer");
  EXPECT_TRUE(screen["cautions"]["same_day"].get<bool>());
  for (const auto& [paper, words] :
       {std::pair{"out/clinician.pdf", "same day"}, {"out/runner.pdf", "See a doctor today"}}) {
    const std::string text = text_of(place / paper);
    const auto day = text.find(words);
    ASSERT_NE(day, std::string::npos) << paper << text;
    EXPECT_LT(day, text.size() / 2) << paper;
    EXPECT_EQ(text.find("3 sets"), std::string::npos) << paper;
  }
  const Ran ran = risetrace_run({"screen", session, "--out", place / "out"});
  EXPECT_LT(ran.out.find("same day"), ran.out.find("Reps")) << ran.out;
}

TEST(Screen, MonthsLaterItSaysWhetherItChanged) {
  const Place place;
  screened(written(place, "then.json", typed_visit()), place / "then");
  json now = typed_visit({{"date", "2026-06-01"}, {"earlier", {"then/screen.json"}}});
  now["tests"][0]["by_hand"]["reps"] = 31;  // 19 more: beyond 18.6 (Byrne et al. 2017)
  const json screen = screened(written(place, "now.json", now), place / "now");
  bool seen = false;
  for (const json& trend : screen["trends"]) {
    if (trend["quantity"] != "reps" || trend["side"] != "left") continue;
    seen = true;
    EXPECT_EQ(trend["verdict"], "changed");
    EXPECT_EQ(trend["better"], true);
  }
  EXPECT_TRUE(seen);
}

TEST(Screen, GermanPapersAreGerman) {
  RISETRACE_NEEDS_TOOL("pdftotext");
  const Place place;
  screened(written(place, "s.json", typed_visit()), place / "out", {"--language", "de"});
  EXPECT_NE(text_of(place / "out/clinician.pdf").find("Medizinprodukt"), std::string::npos);
  expect_refused(risetrace_run({"screen", place / "s.json", "--language", "xx"}), 2, {"xx", "de", "en"});
}

TEST(Screen, OnesOwnValuesAreUsedAndSaid) {
  const Place place;
  json own = json::parse(read_file(source_folder() / "models/comparison.json"));
  for (json& cut : own["cut_offs"]) {
    if (cut["quantity"] == "reps") cut["value"] = cut["kind"] == "difference" ? 25 : 90;
  }
  fs::create_directory(place.path() / "own");
  write_file(place.path() / "own/comparison.json", own.dump());
  json session = typed_visit();
  session["tests"][0]["by_hand"]["reps"] = 27;
  session["tests"][1]["by_hand"]["reps"] = 37;
  const std::string file = written(place, "s.json", session);
  EXPECT_NE(finding(screened(file, place / "ours"), "strength-recoil-unknown"), nullptr);
  const json screen = screened(file, place / "theirs", {"--models", place / "own"});
  EXPECT_EQ(finding(screen, "strength-recoil-unknown"), nullptr);
  int own_files = 0;
  for (const json& used : screen["models_used"]) {
    own_files += used["own"].get<bool>() ? 1 : 0;
    EXPECT_EQ(used["own"].get<bool>(), used["file"] == "comparison.json");
  }
  EXPECT_EQ(own_files, 1);
}

TEST(Screen, AReferenceWithoutASourceIsRefused) {
  const Place place;
  json own = json::parse(read_file(source_folder() / "models/references.json"));
  own["references"][2].erase("source");
  fs::create_directory(place.path() / "own");
  write_file(place.path() / "own/references.json", own.dump());
  expect_refused(risetrace_run({"screen", written(place, "s.json", typed_visit()), "--models", place / "own"}), 2,
                 {"references.json", "references[2].source"});
}

TEST(Screen, AClipThatShowsNothingIsLeftOutAndSaid) {
  const Place place;
  const std::string blank = rendered(small_scene({{"stickers", {{"heel", {{"absent", true}}}}}}));
  json session = typed_visit();
  session["tests"].push_back({{"test", "heel-raise"}, {"side", "left"}, {"knee", "bent"}, {"clip", blank}});
  const json screen = screened(written(place, "s.json", session), place / "out");
  EXPECT_TRUE(noted(screen, "test-not-measured"));
  EXPECT_EQ(screen["results"].size(), 4U);
}

TEST(Screen, MistakesAreNamedAndNothingIsWritten) {
  const Place place;
  const std::string clip = rendered(small_scene());
  measured(clip, place / "right", {"--side", "right", "--knee", "straight"});
  fs::copy_file(clip, place.path() / "a.mp4");
  fs::copy_file(clip, place.path() / "b.mp4");
  const auto raises = [](const std::string& side, const std::string& what, const std::string& file) {
    return json{{"test", "heel-raise"}, {"side", side}, {"knee", "straight"}, {what, file}};
  };
  struct Mistake {
    json changes;
    Words words;
  };
  const std::vector<Mistake> table = {
      {{{"tests", json::array()}, {"cautions", nullptr}}, {"there is nothing to say"}},
      {{{"tests", {raises("left", "clip", "gone.mp4")}}}, {"heel-raise/left/straight", "gone.mp4"}},
      {{{"tests", {raises("left", "result", "right")}}}, {"heel-raise/left/straight", "side right"}},
      {{{"tests", {raises("left", "clip", "a.mp4"), raises("right", "clip", "b.mp4")}}}, {"one clip", "b.mp4"}},
      {{{"tests", {raises("left", "clip", "a.mp4"), raises("left", "clip", "b.mp4")}}}, {"second entry"}},
      {{{"person", {{"birth_year", 1876}}}}, {"an age of 150"}},
      {{{"person", {{"code", "Jo Doe"}}}}, {"person.code", "never a name"}},
      {{{"date", "yesterday"}}, {"date"}},
      {{{"earlier", {"nothing.json"}}}, {"nothing.json"}},
      {{{"training_log", "nothing.json"}}, {"nothing.json"}},
  };
  const Words before = place.holds();
  for (const Mistake& mistake : table) {
    const std::string session = written(place, "s.json", typed_visit(mistake.changes));
    expect_refused(risetrace_run({"screen", session, "--out", place / "out"}), 2, mistake.words);
    EXPECT_FALSE(fs::exists(place.path() / "out")) << mistake.changes;
    fs::remove(session);
  }
  EXPECT_EQ(place.holds(), before);
  expect_refused(risetrace_run({"screen", place / "none.json"}), 2, {"none.json", "cannot be opened"});
}

TEST(Screen, AFolderOfSomebodyElseIsLeftAlone) {
  const Place place;
  fs::create_directories(place.path() / "out/tests");
  write_file(place.path() / "out/tests/letter.txt", "mine");
  expect_refused(risetrace_run({"screen", written(place, "s.json", typed_visit()), "--out", place / "out"}), 5,
                 {"other things"});
  EXPECT_EQ(read_file(place.path() / "out/tests/letter.txt"), "mine");
}

// Twice into the same folder: the second replaces the first; the papers are the same byte for byte on one day.
TEST(Screen, TheSameVisitGivesTheSameFiles) {
  const Place place;
  const std::string session = written(place, "s.json", typed_visit());
  screened(session, place / "one");
  screened(session, place / "one");
  screened(session, place / "two");
  for (const char* file : {"screen.json", "values.csv", "fhir.json"}) {
    EXPECT_EQ(read_file(place.path() / "one" / file), read_file(place.path() / "two" / file)) << file;
  }
}

}  // namespace risetrace::test
