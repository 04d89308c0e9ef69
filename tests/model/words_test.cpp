// The words of each audience: the same in every language, whole, and none for nothing.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "model/read_visit_models.h"
#include "place.h"
#include "report/schema_check.h"

namespace risetrace::model {
namespace {

namespace fs = std::filesystem;
using Keys = std::set<std::string>;

const fs::path models = test::source_folder() / "models";
const std::string quoted = "quoted.";  // texts of models/ said in another language: of that language only

std::string text_of(const fs::path& file) {
  std::ifstream in(file);
  std::stringstream whole;
  whole << in.rdbuf();
  return whole.str();
}

Wording words_of(const std::string& audience, const std::string& language) {
  return read_wording(models, audience, language).value();
}

Keys keys_of(const Wording& words) {
  Keys keys;
  for (const auto& [key, text] : words.words) {
    if (!key.starts_with(quoted)) keys.insert(key);
  }
  return keys;
}

std::multiset<std::string> fills_of(const std::string& text) {
  const std::regex fill(R"(\{\w*\})");
  return {std::sregex_token_iterator(text.begin(), text.end(), fill), {}};
}

void add_rungs(const VisitModels& all, Keys& keys) {
  for (const Ladder& ladder : all.training.ladders) {
    keys.insert("ladder." + ladder.key);
    for (const Rung& rung : ladder.rungs) {
      keys.insert("rung." + rung.key + ".name");
      keys.insert("rung." + rung.key + ".how");
    }
  }
}

void add_family(const std::string& family, const std::vector<std::string>& of, Keys& keys) {
  for (const std::string& one : of) keys.insert(family + one);
}

// What both audiences are told, by the models and by the words that visit/ writes.
Keys common_keys(const VisitModels& all) {
  Keys keys;
  add_rungs(all, keys);
  for (int month = 1; month <= 12; ++month) keys.insert("month." + std::to_string(month));
  for (const CautionQuestion& question : all.cautions.questions) {
    add_family("caution." + question.key, {".name", ".action"}, keys);
  }
  add_family("no-plan.",
             {"refer", "pain", "pain-in-training", "nothing-tested", "not-asked", "says-too-little", "ankle-first",
              "recoil-no-hops", "recoil-after-strength", "recoil-care", "no-raise"},
             keys);
  add_family("held.", {"recoil-after-strength", "recoil-no-hops", "recoil-care", "ankle-first"}, keys);
  add_family("on.", {"left", "right", "both"}, keys);
  add_family("leads.", {"left", "right"}, keys);
  for (const Rule& rule : all.reading.rules) keys.insert("finding." + rule.finding + ".text");
  return keys;
}

void add_of_quantities(const VisitModels& all, Keys& keys) {
  for (const Quantity& quantity : all.norms.quantities) keys.insert("quantity." + quantity.key);
  for (const Reference& reference : all.norms.references) {
    std::string statistic = reference.statistic;
    std::replace(statistic.begin(), statistic.end(), ' ', '-');
    keys.insert("statistic." + statistic);
    keys.insert("sex." + reference.sex);
    if (!reference.form.marker.empty()) keys.insert("marker." + reference.form.marker);
  }
}

Keys clinician_keys(const VisitModels& all) {
  Keys keys = common_keys(all);
  add_of_quantities(all, keys);
  for (const CautionQuestion& question : all.cautions.questions) keys.insert("caution." + question.key + ".question");
  for (const Rule& rule : all.reading.rules) {
    add_family("finding." + rule.finding, {".title", ".train"}, keys);
    add_family("other.", rule.could_also_be, keys);
  }
  add_family("means.", {"refer-same-day", "refer", "no-hops", "care"}, keys);
  add_family("side.", {"left", "right", "both", "not-stated"}, keys);
  add_family("affected.", {"left", "right", "both", "none", "not-stated"}, keys);
  add_family("person.", {"female", "male", "other", "not-stated"}, keys);
  add_family("slot.heel-raise-", {"straight", "bent", "not-stated"}, keys);
  add_family("sureness.", {"doubtful", "likely", "sure"}, keys);
  add_family("readings.measuring.", {"yes", "no", "not-known"}, keys);
  add_family("readings.noise.", {"yes-yes", "yes-no", "no-no", "yes", "no", "not-known"}, keys);
  add_family("readings.cut-off.", {"yes", "no", "not-known"}, keys);
  add_family("beyond.", {"yes", "no", "not-known"}, keys);
  add_family("why.", {"start-by-reps", "start-easiest", "log-up", "log-hold", "log-down"}, keys);
  add_family("move.",
             {"passed", "over-target", "not-yet", "not-yet-over", "last-rung", "pain-over-limit", "pain-two-mornings",
              "pain-next-morning", "pain-not-told", "pain-on-easiest", "pain-elsewhere"},
             keys);
  add_family("not-compared.",
             {"one-side", "beat-differs", "fraction-differs", "marker-differs", "incline-differs", "set-not-ended"},
             keys);
  add_family("form.", {"incline", "marker", "cadence", "by-hand", "fraction", "beat", "set-not-ended"}, keys);
  add_family("mark.", {"published", "from-memory", "common-practice", "ours"}, keys);
  add_family("got.", {"clip", "result", "by-hand"}, keys);
  add_family("scale.", {"tags", "id-1", "given", "none"}, keys);
  add_family("marker.", {"heel", "malleolus"}, keys);
  add_family("set-end.", {"low-height", "pause", "clip-end", "by-hand"}, keys);
  add_family("knee.", {"straight", "bent"}, keys);
  add_family("unit.", {"cm/rep"}, keys);
  add_family("note.", {"mass-missing", "not-adult"}, keys);
  return keys;
}

Keys runner_keys(const VisitModels& all) {
  Keys keys = common_keys(all);
  add_family("found.how-sure.", {"doubtful", "likely", "sure"}, keys);
  return keys;
}

class Words : public testing::TestWithParam<const char*> {
 protected:
  [[nodiscard]] static Keys required() {
    const VisitModels all = read_visit_models(models).value();
    return std::string(GetParam()) == "clinician" ? clinician_keys(all) : runner_keys(all);
  }
};

TEST(WordFiles, FitTheSchemaWhichCanRefuse) {
  int files = 0;
  for (const auto& entry : fs::directory_iterator(models / "words")) {
    const std::string text = text_of(entry.path());
    EXPECT_EQ(test::misfit("words.schema.json", text), "") << entry.path();
    nlohmann::json broken = nlohmann::json::parse(text);
    broken["words"]["title"] = "";
    EXPECT_NE(test::misfit("words.schema.json", broken.dump()), "") << entry.path();
    ++files;
  }
  EXPECT_EQ(files, 4);
}

TEST(WordFiles, ALanguageThatThereIsNoneOfNamesThoseThereAre) {
  const auto none = read_wording(models, "runner", "xx");
  ASSERT_FALSE(none.ok());
  EXPECT_NE(none.error().what_to_do.find("de"), std::string::npos);
  EXPECT_NE(none.error().what_to_do.find("en"), std::string::npos);
}

TEST_P(Words, AreTheSameKeysAndFillsInBothLanguages) {
  const Wording en = words_of(GetParam(), "en");
  const Wording de = words_of(GetParam(), "de");
  EXPECT_EQ(keys_of(en), keys_of(de));
  for (const auto& [key, text] : en.words) {
    const auto other = de.words.find(key);
    EXPECT_EQ(fills_of(text), other == de.words.end() ? fills_of("") : fills_of(other->second)) << key;
  }
  EXPECT_EQ(en.number(12.34, 1), "12.3");
  EXPECT_EQ(de.number(12.34, 1), "12,3");
}

TEST_P(Words, HaveAKeyForEveryElementOfTheModels) {
  const Wording en = words_of(GetParam(), "en");
  for (const std::string& key : required()) EXPECT_TRUE(en.has(key)) << key;
}

TEST_P(Words, AreAllUsed) {
  std::string source;
  for (const auto& entry : fs::directory_iterator(test::source_folder() / "src/report")) {
    if (entry.path().extension() == ".cpp") source += text_of(entry.path());
  }
  const Keys needed = required();
  for (const std::string& key : keys_of(words_of(GetParam(), "en"))) {
    EXPECT_TRUE(needed.contains(key) || source.find("\"" + key + "\"") != std::string::npos) << key;
  }
}

INSTANTIATE_TEST_SUITE_P(Audiences, Words, testing::Values("clinician", "runner"),
                         [](const auto& audience) { return std::string(audience.param); });

// The texts of models/ that a report prints.
std::set<std::string> printed_texts(const VisitModels& all) {
  std::set<std::string> texts;
  for (const Reference& reference : all.norms.references) texts.insert({reference.population, reference.source});
  for (const CutOff& cut_off : all.norms.cut_offs) texts.insert(cut_off.limit.source);
  for (const Sign& sign : all.reading.signs) {
    for (const Watch& watch : sign.watches) {
      if (watch.limit) texts.insert(watch.limit->source);
    }
  }
  for (const Rule& rule : all.reading.rules) texts.insert(rule.source);
  return texts;
}

// A bare citation reads the same in every language: "Calatayud et al. 2015".
bool bare_citation(const std::string& text) {
  return std::regex_match(text, std::regex(R"([A-Z][^ ]*( [A-Z][^ ]*)?( &| et) [^,:;]+(, .*)?)"));
}

TEST(QuotedWords, SayEveryPrintedTextOfTheModelsInGermanAndNoOther) {
  const std::set<std::string> texts = printed_texts(read_visit_models(models).value());
  const Wording de = words_of("clinician", "de");
  for (const std::string& text : texts) EXPECT_TRUE(de.has(quoted + text) || bare_citation(text)) << text;
  for (const auto& [key, text] : de.words) {
    EXPECT_TRUE(!key.starts_with(quoted) || texts.contains(key.substr(quoted.size()))) << key;
  }
  EXPECT_FALSE(bare_citation("side difference, Chisholm et al. 2012"));
  EXPECT_FALSE(bare_citation("strength low with good recoil: strength"));
}

}  // namespace
}  // namespace risetrace::model
