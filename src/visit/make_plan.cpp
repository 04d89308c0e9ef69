#include "visit/make_plan.h"

#include <algorithm>
#include <optional>
#include <set>

#include "base/calendar.h"

namespace risetrace::visit {
namespace {

constexpr int days_of_week = 7;
constexpr const char* strength = "strength";
constexpr const char* recoil = "recoil";

bool found(const Reading& reading, const std::string& key) {
  return std::any_of(reading.findings.begin(), reading.findings.end(),
                     [&](const Finding& finding) { return finding.key == key; });
}

bool ankle_first(const Reading& reading) {
  return std::any_of(reading.findings.begin(), reading.findings.end(),
                     [](const Finding& finding) { return finding.ankle_first; });
}

// What any finding starts, and what is trained already.
std::set<std::string> wanted_ladders(const PlanQuestion& question) {
  std::set<std::string> wanted;
  for (const Finding& finding : question.reading.findings)
    wanted.insert(finding.ladders.begin(), finding.ladders.end());
  for (const NextStep& step : question.next_steps) wanted.insert(step.ladder);
  return wanted;
}

// Single-leg raises with the knee straight, of the leg that made fewer; of one leg alone that leg's.
std::optional<double> fewest_raises(const std::vector<TestResult>& results) {
  std::optional<double> fewest;
  for (const TestResult& result : results) {
    const Value* reps = value_of(result.values, "reps");
    if (result.slot.test != Test::heel_raise || result.slot.knee != Knee::straight || reps == nullptr) continue;
    fewest = std::min(fewest.value_or(reps->value), reps->value);
  }
  return fewest;
}

Side leading_side(const PlanQuestion& question, const std::string& ladder) {
  for (const Finding& finding : question.reading.findings) {
    const bool of_it = std::find(finding.ladders.begin(), finding.ladders.end(), ladder) != finding.ladders.end();
    const bool low =
        std::any_of(finding.because.begin(), finding.because.end(), [](const Evidence& e) { return e.low; });
    if (of_it && low && finding.side != Side::both) return finding.side;
  }
  if (question.affected_side == Side::left || question.affected_side == Side::right) return question.affected_side;
  return Side::not_stated;
}

const NextStep* step_of(const PlanQuestion& question, const std::string& ladder) {
  const auto step = std::find_if(question.next_steps.begin(), question.next_steps.end(),
                                 [&](const NextStep& one) { return one.ladder == ladder; });
  return step == question.next_steps.end() ? nullptr : &*step;
}

const char* why_of(Move move) {
  switch (move) {
    case Move::up:
    case Move::more_load:
      return "log-up";
    case Move::hold:
      return "log-hold";
    case Move::down:
      break;
  }
  return "log-down";
}

std::size_t rung_by_reps(const model::Ladder& ladder, double reps) {
  std::size_t start = 0;
  for (std::size_t i = 0; i < ladder.rungs.size(); ++i) {
    if (ladder.rungs[i].from_reps && reps >= *ladder.rungs[i].from_reps) start = i;
  }
  return start;
}

PlanLine line_of(const model::Ladder& ladder, const PlanQuestion& question) {
  PlanLine line;
  line.ladder = ladder.key;
  line.leads = leading_side(question, ladder.key);
  std::size_t start = 0;
  line.why = "start-easiest";
  if (const NextStep* step = step_of(question, ladder.key)) {
    const auto rung = std::find_if(ladder.rungs.begin(), ladder.rungs.end(),
                                   [&](const model::Rung& one) { return one.key == step->rung; });
    start = static_cast<std::size_t>(rung - ladder.rungs.begin());
    line.why = why_of(step->move);
    line.load_kg = step->load_low_kg ? step->load_low_kg : step->load_kg;
  }
  const auto reps = ladder.key == strength ? fewest_raises(question.results) : std::nullopt;
  // Today's test speaks where there is no log, and against it where it puts the start lower.
  if (reps && (step_of(question, ladder.key) == nullptr || rung_by_reps(ladder, *reps) < start)) {
    start = rung_by_reps(ladder, *reps);
    line.by_reps = reps;
    line.load_kg = std::nullopt;
    line.why = "start-by-reps";
  }
  line.rung = ladder.rungs[start];
  if (start + 1 < ladder.rungs.size()) line.next = ladder.rungs[start + 1];
  // Spread over the week: two days lie 3 and 4 days apart, three 2, 2 and 3.
  for (int i = 0; i < ladder.days_a_week; ++i) line.days.push_back(1 + i * days_of_week / ladder.days_a_week);
  return line;
}

bool hurts_on_easiest(const PlanQuestion& question) {
  return std::any_of(question.next_steps.begin(), question.next_steps.end(),
                     [](const NextStep& step) { return step.why == "pain-on-easiest"; });
}

// A leg on which nobody gets up once is looked at before it is trained.
bool no_raise(const std::vector<TestResult>& results) {
  return std::any_of(results.begin(), results.end(), [](const TestResult& result) {
    const Value* reps = value_of(result.values, "reps");
    return result.slot.test == Test::heel_raise && reps != nullptr && reps->value < 1;
  });
}

bool needs_care(const CautionVerdict& cautions) {
  return std::any_of(cautions.yes.begin(), cautions.yes.end(),
                     [](const Caution& yes) { return yes.means == model::CautionMeans::care; });
}

std::string why_no_plan(const PlanQuestion& question) {
  if (question.cautions.refer) return "refer";
  if (!question.cautions.pain.empty()) return "pain";
  if (hurts_on_easiest(question)) return "pain-in-training";
  if (no_raise(question.results)) return "no-raise";
  if (question.results.empty() && question.next_steps.empty()) return "nothing-tested";
  return question.cautions.refer_not_asked ? "not-asked" : "";
}

// Why recoil is left out though something asks for it; empty: it is not.
std::string why_no_recoil(const PlanQuestion& question) {
  if (question.cautions.no_hops) return "recoil-no-hops";
  if (needs_care(question.cautions)) return "recoil-care";
  const bool strength_first =
      found(question.reading, "strength-first") || found(question.reading, "strength-recoil-unknown");
  if (strength_first) return "recoil-after-strength";
  return ankle_first(question.reading) ? "ankle-first" : "";
}

// Findings that start no ladder: the most telling reason for having no plan.
std::string why_nothing_wanted(const std::vector<std::string>& held_back) {
  return held_back.empty() ? "says-too-little" : held_back.front();
}

}  // namespace

Plan make_plan(const PlanQuestion& question, const model::TrainingRules& rules) {
  Plan plan;
  plan.why_not = why_no_plan(question);
  if (!plan.why_not.empty()) return plan;
  std::set<std::string> wanted = wanted_ladders(question);
  if (ankle_first(question.reading)) plan.held_back.emplace_back("ankle-first");
  const std::string no_recoil = why_no_recoil(question);
  const bool asked_for = wanted.contains(recoil) || found(question.reading, "strength-first");
  if (!no_recoil.empty()) wanted.erase(recoil);
  if (!no_recoil.empty() && asked_for && no_recoil != "ankle-first") plan.held_back.push_back(no_recoil);
  for (const model::Ladder& ladder : rules.ladders) {
    if (wanted.contains(ladder.key)) plan.lines.push_back(line_of(ladder, question));
  }
  if (plan.lines.empty()) {
    plan.why_not = why_nothing_wanted(plan.held_back);
    return plan;
  }
  plan.made = true;
  if (const auto day = day_number(question.date)) {
    plan.next_test = date_of(*day + days_of_week * static_cast<int>(rules.retest_weeks.value));
  }
  return plan;
}

}  // namespace risetrace::visit
