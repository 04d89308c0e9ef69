// Plans: what starts where, what is held back, and when none is made.
#include "visit/make_plan.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "shipped.h"
#include "visit/evaluate.h"

namespace risetrace::visit {
namespace {

using test::shipped;

Visit visit_of(std::vector<TestResult> results) {
  Visit visit;
  visit.session.date = "2026-03-02";
  visit.session.person.code = "R-017";
  for (const auto& question : shipped().cautions.questions) visit.session.cautions[question.key] = Answer::no;
  visit.results = std::move(results);
  return visit;
}

Screen screen_of(Visit visit) {
  auto screen = evaluate(std::move(visit), shipped());
  if (!screen) throw std::runtime_error(sentence(screen.error()));
  return *screen;
}

std::vector<TestResult> weak_left(double left_reps) {
  return {test::raises(Side::left, Knee::straight, left_reps), test::raises(Side::right, Knee::straight, 30),
          test::hops(Side::left, 255), test::hops(Side::right, 250)};
}

const PlanLine* line_of(const Plan& plan, const std::string& ladder) {
  for (const PlanLine& line : plan.lines) {
    if (line.ladder == ladder) return &line;
  }
  return nullptr;
}

TEST(MakePlan, StartsTheStrengthLadderWhereTheWeakerLegIs) {
  for (const auto& [reps, rung] : {std::pair{1.0, "split-stance"},
                                   {5.0, "split-back-foot"},
                                   {10.0, "step-two-leg"},
                                   {15.0, "step-one-leg"},
                                   {24.0, "step-one-leg"}}) {
    const Plan plan = screen_of(visit_of(weak_left(reps))).plan;
    ASSERT_TRUE(plan.made) << reps;
    const PlanLine* line = line_of(plan, "strength");
    ASSERT_NE(line, nullptr);
    EXPECT_EQ(line->rung.key, rung) << reps;
    EXPECT_EQ(line->leads, Side::left);
    EXPECT_EQ(line->by_reps, reps);
  }
}

TEST(MakePlan, SetsTheNextTestEightWeeksOn) {
  // 2026-03-02 + 56 days: 29 left of March, 27 of April's 30.
  EXPECT_EQ(screen_of(visit_of(weak_left(10))).plan.next_test, "2026-04-27");
}

TEST(MakePlan, NoneOverACautionThatSaysRefer) {
  for (const model::CautionQuestion& question : shipped().cautions.questions) {
    Visit visit = visit_of(weak_left(10));
    visit.session.cautions[question.key] = Answer::yes;
    const Screen screen = screen_of(std::move(visit));
    const bool refer =
        question.means == model::CautionMeans::refer || question.means == model::CautionMeans::refer_same_day;
    EXPECT_EQ(screen.plan.made, !refer) << question.key;
    EXPECT_EQ(screen.cautions.same_day, question.means == model::CautionMeans::refer_same_day) << question.key;
    EXPECT_EQ(screen.plan.why_not, refer ? "refer" : "") << question.key;
    EXPECT_EQ(screen.plan.lines.empty(), refer) << question.key;
  }
}

// Ours has no question of that kind; a user's own may.
TEST(MakePlan, NoHopsWhereACautionRulesThemOut) {
  model::VisitModels models = shipped();
  models.cautions.questions.push_back({"own", model::CautionMeans::no_hops, "ours", "a question of one's own"});
  auto results = weak_left(30);
  results[2] = test::hops(Side::left, 320);  // strength good, recoil low
  Visit visit = visit_of(results);
  visit.session.cautions["own"] = Answer::yes;
  const auto screen = evaluate(std::move(visit), models);
  ASSERT_TRUE(screen);
  EXPECT_EQ(line_of(screen->plan, "recoil"), nullptr);
  EXPECT_EQ(screen->plan.held_back, std::vector<std::string>{"recoil-no-hops"});
}

TEST(MakePlan, NoneBeforeTheQuestionsThatMayReferAreAsked) {
  for (const model::CautionQuestion& question : shipped().cautions.questions) {
    Visit visit = visit_of(weak_left(10));
    visit.session.cautions.erase(question.key);
    const bool refers =
        question.means == model::CautionMeans::refer || question.means == model::CautionMeans::refer_same_day;
    EXPECT_EQ(screen_of(std::move(visit)).plan.why_not, refers ? "not-asked" : "") << question.key;
  }
}

TEST(MakePlan, NoneOverPainOnTheEasiestRung) {
  Visit visit = visit_of(weak_left(10));
  visit.log = TrainingLog{"R-017", {{"2026-03-01", "strength", "two-leg-slow", {{15}, {15}, {15}}, 8, 0, ""}}};
  EXPECT_EQ(screen_of(std::move(visit)).plan.why_not, "pain-in-training");
}

TEST(MakePlan, TodaysTestSpeaksAgainstTheLogWhereItIsLower) {
  Visit visit = visit_of(weak_left(5));
  visit.log = TrainingLog{"R-017", {{"2026-03-01", "strength", "step-one-leg", {{15}, {15}, {15}}, 0, 0, ""}}};
  const Plan plan = screen_of(std::move(visit)).plan;
  EXPECT_EQ(line_of(plan, "strength")->rung.key, "split-back-foot");
  EXPECT_EQ(line_of(plan, "strength")->why, "start-by-reps");
}

TEST(MakePlan, ALegWithoutASingleRaiseIsLookedAtFirst) {
  EXPECT_EQ(screen_of(visit_of(weak_left(0))).plan.why_not, "no-raise");
}

TEST(MakePlan, NoHopsWhileAQuestionOfCareStandsAtYes) {
  auto results = weak_left(30);
  results[2] = test::hops(Side::left, 320);
  Visit visit = visit_of(results);
  visit.session.cautions["fluoroquinolones"] = Answer::yes;
  const Plan plan = screen_of(std::move(visit)).plan;
  EXPECT_TRUE(plan.made);
  EXPECT_EQ(line_of(plan, "recoil"), nullptr);
  EXPECT_EQ(plan.held_back, std::vector<std::string>{"recoil-care"});
}

TEST(MakePlan, OnlyAShortAnkleComesFirst) {
  EXPECT_EQ(screen_of(visit_of({test::lunge(Side::left, 5), test::lunge(Side::right, 12)})).plan.why_not,
            "ankle-first");
}

TEST(MakePlan, NoneOverPainBeyondTheLimit) {
  for (const auto& [worst, made] : {std::pair{5, true}, {6, false}}) {
    Visit visit = visit_of(weak_left(10));
    TestEntry entry;
    entry.slot = {risetrace::Test::heel_raise, Side::left, Knee::straight};
    entry.pain.worst = worst;
    visit.session.tests.push_back(entry);
    EXPECT_EQ(screen_of(std::move(visit)).plan.made, made) << worst;
  }
}

TEST(MakePlan, RecoilWaitsWhereStrengthComesFirst) {
  auto results = weak_left(10);
  results[2] = test::hops(Side::left, 320);
  const Plan plan = screen_of(visit_of(results)).plan;
  EXPECT_NE(line_of(plan, "strength"), nullptr);
  EXPECT_EQ(line_of(plan, "recoil"), nullptr);
  EXPECT_EQ(plan.held_back, std::vector<std::string>{"recoil-after-strength"});
}

TEST(MakePlan, HopDaysLieTwoDaysApartOrMore) {
  auto results = weak_left(30);
  results[2] = test::hops(Side::left, 320);
  const Plan plan = screen_of(visit_of(results)).plan;
  const PlanLine* line = line_of(plan, "recoil");
  ASSERT_NE(line, nullptr);
  ASSERT_GE(line->days.size(), 2U);
  for (std::size_t i = 0; i < line->days.size(); ++i) {
    const int next = i + 1 < line->days.size() ? line->days[i + 1] : line->days[0] + 7;
    EXPECT_GE(24 * (next - line->days[i]), shipped().training.rest_hours_low.value);
  }
}

TEST(MakePlan, NothingTestedNothingPlanned) {
  Visit visit = visit_of({});
  EXPECT_EQ(screen_of(visit_of({})).plan.why_not, "nothing-tested");
  EXPECT_EQ(screen_of(visit_of({test::hops(Side::left, 320), test::hops(Side::right, 250)})).plan.why_not,
            "says-too-little");
}

TEST(MakePlan, TheLogDecidesTheRung) {
  Visit visit = visit_of(weak_left(10));
  visit.log = TrainingLog{"R-017", {}};
  for (const char* date : {"2026-02-20", "2026-02-23"}) {
    visit.log->days.push_back({date, "strength", "two-leg-slow", {{15}, {15}, {15}}, 1, 0, ""});
  }
  const Plan plan = screen_of(std::move(visit)).plan;
  EXPECT_EQ(line_of(plan, "strength")->rung.key, "split-stance");
  EXPECT_EQ(line_of(plan, "strength")->why, "log-up");
}

TEST(Evaluate, OneClipCannotStandForBothSides) {
  auto results = weak_left(10);
  results[0].source_sha256 = results[1].source_sha256 = "abc";
  results[0].source_file = results[1].source_file = "left.mp4";
  const auto screen = evaluate(visit_of(results), shipped());
  ASSERT_FALSE(screen);
  EXPECT_NE(screen.error().why.find("left.mp4"), std::string::npos);
}

TEST(Evaluate, EarlierVisitsAreOfTheSamePersonAndEarlier) {
  for (const auto& [date, code, fine] :
       {std::tuple{"2026-01-02", "R-017", true}, {"2026-01-02", "R-018", false}, {"2026-03-02", "R-017", false}}) {
    Visit visit = visit_of(weak_left(10));
    visit.earlier.push_back({date, code, weak_left(8)});
    EXPECT_EQ(evaluate(std::move(visit), shipped()).ok(), fine) << date << code;
  }
}

TEST(Evaluate, SaysThatItsLimitsAreThoseOfAdults) {
  for (const auto& [born, noted] : {std::pair{2010, true}, {2009, true}, {2008, false}, {1940, false}}) {
    Visit visit = visit_of(weak_left(10));
    visit.session.person.birth_year = born;
    const Screen screen = screen_of(std::move(visit));
    const bool seen = std::any_of(screen.notes.begin(), screen.notes.end(),
                                  [](const Note& note) { return note.code == "not-adult"; });
    EXPECT_EQ(seen, noted) << born;
  }
}

TEST(Evaluate, SaysThatAClipIsOfAnotherDay) {
  for (const auto& [recorded, noted] : {std::pair{"2026-03-02T23:00:00Z", false},
                                        {"2026-03-03T01:00:00Z", false},
                                        {"2026-02-20T10:00:00Z", true},
                                        {"", false}}) {
    auto results = weak_left(10);
    results[0].recorded_at = recorded;
    const Screen screen = screen_of(visit_of(results));
    const bool seen = std::any_of(screen.notes.begin(), screen.notes.end(),
                                  [](const Note& note) { return note.code == "clip-of-another-day"; });
    EXPECT_EQ(seen, noted) << recorded;
  }
}

}  // namespace
}  // namespace risetrace::visit
