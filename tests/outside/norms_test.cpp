// The values that sides, reps and hops are held against, each against its source as quoted there. A changed value must
// come with a changed source.
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "model/read_visit_models.h"
#include "place.h"

namespace risetrace::model {
namespace {

const VisitModels& shipped() {
  static const VisitModels models = [] {
    auto read = read_visit_models(test::source_folder() / "models");
    if (!read) throw std::runtime_error(sentence(read.error()));
    return *read;
  }();
  return models;
}

const Reference& reference(const std::string& key) {
  for (const Reference& one : shipped().norms.references) {
    if (one.key == key) return one;
  }
  throw std::runtime_error("no reference " + key);
}

struct Quoted {
  const char* key;
  double value;
  std::optional<int> n;
  const char* source;  // names it
  const char* mark;
};

TEST(Norms, ReferencesAreAsTheirSourcesSay) {
  const std::vector<Quoted> table = {
      {"reps-lunsford-1995", 27.9, 203, "Phys Ther 75:694", "published"},
      {"reps-lunsford-1995-asked", 25, 203, "Lunsford & Perry 1995", "from memory"},
      {"reps-hebert-losier-2017-men", 24, 566, "Physiotherapy 103:446", "published"},
      {"reps-hebert-losier-2017-women", 21, 566, "Physiotherapy 103:446", "published"},
      {"reps-visser-2025", 25, 500, "10.1016/j.bjpt.2025.101188", "published"},
      {"work-visser-2025", 1374, 500, "10.1016/j.bjpt.2025.101188", "published"},
      {"total-height-visser-2025", 192, 500, "10.1016/j.bjpt.2025.101188", "published"},
      {"greatest-height-visser-2025", 9.3, 500, "10.1016/j.bjpt.2025.101188", "published"},
      {"reps-circulating-men", 27, std::nullopt, "no study named", "common practice"},
      {"reps-circulating-women", 19, std::nullopt, "no study named", "common practice"},
      {"reps-runner", 25, std::nullopt, "about 25", "common practice"},
      {"knee-to-wall-calatayud-2015", 11.6, std::nullopt, "Calatayud et al. 2015", "published"},
      {"shank-calatayud-2015", 40.6, std::nullopt, "Calatayud et al. 2015", "published"},
  };
  for (const Quoted& quoted : table) {
    const Reference& one = reference(quoted.key);
    EXPECT_EQ(one.value, quoted.value) << quoted.key;
    EXPECT_EQ(one.n, quoted.n) << quoted.key;
    EXPECT_NE(one.source.find(quoted.source), std::string::npos) << quoted.key << ": " << one.source;
    EXPECT_EQ(one.mark, quoted.mark) << quoted.key;
  }
  EXPECT_EQ(reference("knee-to-wall-calatayud-2015").sd, 4.0);
  EXPECT_EQ(reference("shank-calatayud-2015").sd, 5.2);
  EXPECT_EQ(reference("reps-hebert-losier-2017-men").form.incline_deg, 10);
  EXPECT_EQ(reference("reps-visser-2025").form.marker, "malleolus");
  EXPECT_EQ(shipped().norms.references.size(), table.size() + 2);  // and two usual ranges of contact
  EXPECT_EQ(reference("contact-both").low, 220);
  EXPECT_EQ(reference("contact-both").high, 300);
  EXPECT_EQ(reference("contact-one").low, 270);
  EXPECT_EQ(reference("contact-one").high, 330);
}

TEST(Norms, RetestNoiseIsAsItsSourcesSay) {
  const auto expect = [](const char* key, double optimistic, const char* by, double cautious, const char* and_by) {
    const RetestNoise* noise = shipped().norms.noise_of(key);
    ASSERT_NE(noise, nullptr) << key;
    EXPECT_EQ(noise->optimistic.value, optimistic) << key;
    EXPECT_EQ(noise->cautious.value, cautious) << key;
    EXPECT_NE(noise->optimistic.source.find(by), std::string::npos) << key;
    EXPECT_NE(noise->cautious.source.find(and_by), std::string::npos) << key;
  };
  expect("reps", 5.7, "Ross & Fontenot 2000, J Sport Rehabil 9:117", 18.6, "Byrne et al. 2017");
  expect("greatest_height_cm", 2.2, "Byrne et al. 2017", 2.2, "Byrne et al. 2017");
  expect("work_j", 1161, "Byrne et al. 2017", 1161, "Byrne et al. 2017");
  expect("knee_to_wall_cm", 1.0, "Chisholm et al. 2012", 1.9, "Powden et al. 2015");
  expect("shank_deg", 4.6, "Powden et al. 2015", 4.7, "Powden et al. 2015");
}

// MDC95 = 1.96 sqrt 2 SEM, of a coefficient of variation in per cent: 1.4 gives 3.88, 5.6 gives 15.52 (derived here).
TEST(Norms, RetestNoiseOfContactFollowsFromItsVariation) {
  const RetestNoise* noise = shipped().norms.noise_of("contact_ms");
  ASSERT_NE(noise, nullptr);
  EXPECT_TRUE(noise->relative);
  EXPECT_NEAR(noise->optimistic.value, 1.96 * std::sqrt(2.0) * 1.4, 0.05);
  EXPECT_NEAR(noise->cautious.value, 1.96 * std::sqrt(2.0) * 5.6, 0.05);
  EXPECT_EQ(noise->optimistic.mark, "ours");
}

TEST(Norms, CutOffsAreAsTheyAreCustomary) {
  std::map<std::string, std::vector<double>> found;
  for (const CutOff& cut : shipped().norms.cut_offs) found[cut.quantity].push_back(cut.limit.value);
  EXPECT_EQ(found["reps"], (std::vector<double>{4, 10}));
  for (const char* key :
       {"greatest_height_cm", "total_height_cm", "work_j", "contact_ms", "rsi_m_s", "stiffness_kn_m"}) {
    EXPECT_EQ(found[key], std::vector<double>{10}) << key;
  }
  EXPECT_EQ(found["knee_to_wall_cm"], std::vector<double>{1.5});  // Chisholm et al. 2012
  EXPECT_EQ(found["shank_deg"], std::vector<double>{5});          // from memory
}

// Load and pain: ACSM 2009; Silbernagel et al. 2007; 48 to 72 h between days of hopping, from memory.
TEST(Norms, TrainingRulesAreAsTheirSourcesSay) {
  const TrainingRules& rules = shipped().training;
  EXPECT_EQ(rules.reps_over.value, 2);
  EXPECT_EQ(rules.sessions_in_row.value, 2);
  EXPECT_EQ(rules.load_more_low_pct.value, 2);
  EXPECT_EQ(rules.load_more_high_pct.value, 10);
  EXPECT_NE(rules.load_more_low_pct.source.find("ACSM 2009"), std::string::npos);
  EXPECT_EQ(rules.pain_limit.value, 5);
  EXPECT_NE(rules.pain_limit.source.find("Silbernagel et al. 2007"), std::string::npos);
  EXPECT_EQ(rules.rest_hours_low.value, 48);
  EXPECT_EQ(rules.rest_hours_high.value, 72);
  for (const Ladder& ladder : rules.ladders) {
    for (const Rung& rung : ladder.rungs) {
      const bool by_reps = rung.reps_low.has_value();
      EXPECT_EQ(rung.sets, 3) << rung.key;
      EXPECT_EQ(by_reps ? rung.reps_low : rung.seconds_low, by_reps ? 12 : 20) << rung.key;
      EXPECT_EQ(by_reps ? rung.reps_high : rung.seconds_high, by_reps ? 15 : 30) << rung.key;
    }
  }
}

// Silbernagel et al. 2010, KSSTA 18:258: mean index (involved / uninvolved x 100) of work 61 % at 6 and 76 % at 12
// months, of reps 84 and 95 %, as its abstract prints them; the rule that shows what reps hide says so.
TEST(Norms, TheRuleThatShowsWhatRepsHideNamesItsSource) {
  for (const Rule& rule : shipped().reading.rules) {
    if (rule.finding != "reps-hide-loss") continue;
    EXPECT_EQ(rule.mark, "published");
    EXPECT_NE(rule.source.find("KSSTA 18:258"), std::string::npos);
    EXPECT_NE(rule.source.find("95 % alike in reps and 76 % in work"), std::string::npos);
    return;
  }
  FAIL() << "no such rule";
}

}  // namespace
}  // namespace risetrace::model
