#include "report/plan_words.h"

#include <algorithm>

#include "report/words.h"

namespace risetrace::report {
namespace {

const visit::NextStep* step_of(const visit::Screen& screen, const visit::PlanLine& line) {
  for (const visit::NextStep& step : screen.next_steps) {
    if (step.ladder == line.ladder && step.rung == line.rung.key) return &step;
  }
  return nullptr;
}

}  // namespace

std::string dose_in_words(const ScreenWords& words, const visit::PlanLine& line) {
  std::string text = words.dose(line.rung);
  if (!line.rung.loaded) return text;
  const visit::NextStep* step = step_of(words.screen(), line);
  if (step != nullptr && step->load_low_kg && step->load_high_kg) {
    return text + ", " +
           words.say("dose.load-range",
                     {{"low", words.plain(*step->load_low_kg)}, {"high", words.plain(*step->load_high_kg)}});
  }
  return text + ", " +
         (line.load_kg ? words.say("dose.load", {{"load", words.plain(*line.load_kg)}})
                       : words.say("dose.load-unknown"));
}

std::string days_in_words(const ScreenWords& words, const visit::PlanLine& line) {
  std::string days;
  for (const int day : line.days) days += (days.empty() ? "" : ", ") + std::to_string(day);
  return days.empty() ? not_known : words.say("days.week", {{"days", days}});
}

std::string move_up_in_words(const ScreenWords& words, const visit::PlanLine& line) {
  const model::TrainingRules& rules = words.screen().models.training;
  const model::Rung& rung = line.rung;
  Fill fill = {{"sessions", words.plain(rules.sessions_in_row.value)}, {"over", words.plain(rules.reps_over.value)}};
  if (rung.loaded) {
    fill["low"] = words.plain(rules.load_more_low_pct.value);
    fill["high"] = words.plain(rules.load_more_high_pct.value);
    return words.say("plan.rule-load", fill);
  }
  const auto high = rung.reps_high ? rung.reps_high : rung.seconds_high;
  if (!high) return "";
  fill["high"] = std::to_string(*high);
  return words.say(rung.reps_high ? "plan.rule-reps" : "plan.rule-seconds", fill);
}

std::string pain_rule_in_words(const ScreenWords& words) {
  return words.say("plan.rule-pain", {{"limit", words.plain(words.screen().models.training.pain_limit.value)}});
}

std::string rest_in_words(const ScreenWords& words) {
  const auto& lines = words.screen().plan.lines;
  if (std::none_of(lines.begin(), lines.end(), [](const auto& line) { return line.rung.seconds_low.has_value(); })) {
    return "";
  }
  const model::TrainingRules& rules = words.screen().models.training;
  return words.say("plan.rule-rest", {{"low", words.plain(rules.rest_hours_low.value)},
                                      {"high", words.plain(rules.rest_hours_high.value)}});
}

std::vector<std::string> rules_in_words(const ScreenWords& words) {
  std::vector<std::string> said;
  const auto add = [&](const std::string& sentence) {
    if (!sentence.empty() && std::find(said.begin(), said.end(), sentence) == said.end()) said.push_back(sentence);
  };
  for (const visit::PlanLine& line : words.screen().plan.lines) add(move_up_in_words(words, line));
  add(rest_in_words(words));
  add(pain_rule_in_words(words));
  return said;
}

std::vector<std::string> held_in_words(const ScreenWords& words) {
  std::vector<std::string> said;
  for (const std::string& key : words.screen().plan.held_back) said.push_back(words.say("held." + key));
  return said;
}

std::vector<std::string> log_in_words(const ScreenWords& words) {
  std::vector<std::string> said;
  for (const visit::NextStep& step : words.screen().next_steps) {
    said.push_back(words.say("plan.log", {{"ladder", words.say("ladder." + step.ladder)},
                                          {"days", std::to_string(step.days_on_rung)},
                                          {"move", words.say("move." + step.why)}}));
  }
  return said;
}

}  // namespace risetrace::report
