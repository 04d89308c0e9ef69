#include "visit/follow_ladder.h"

#include <algorithm>

#include "base/calendar.h"

namespace risetrace::visit {
namespace {

using Days = std::vector<const TrainingDay*>;

// The last days in a row on the rung trained last, in order.
Days last_days_on_rung(const TrainingLog& log, const std::string& ladder) {
  Days days;
  for (auto day = log.days.rbegin(); day != log.days.rend(); ++day) {
    if (day->ladder != ladder) continue;
    if (!days.empty() && day->rung != days.back()->rung) break;
    days.push_back(&*day);
  }
  std::reverse(days.begin(), days.end());
  return days;
}

bool set_done(const TrainedSet& set, const model::Rung& rung, int over) {
  if (rung.reps_high) return set.reps && *set.reps >= *rung.reps_high + over;
  return set.seconds && rung.seconds_high && *set.seconds >= *rung.seconds_high;
}

// As many sets as the rung asks for, each at the top of its range.
bool day_passed(const TrainingDay& day, const model::Rung& rung) {
  const auto done =
      std::count_if(day.sets.begin(), day.sets.end(), [&](const TrainedSet& set) { return set_done(set, rung, 0); });
  return done >= rung.sets;
}

bool last_set_over(const TrainingDay& day, const model::Rung& rung, int over) {
  return !day.sets.empty() && set_done(day.sets.back(), rung, over);
}

template <typename Test>
bool lately(const Days& days, int in_row, Test test) {
  if (static_cast<int>(days.size()) < in_row) return false;
  return std::all_of(days.end() - in_row, days.end(), [&](const TrainingDay* day) { return test(*day); });
}

// Every set with the weight of that day's last one: a lighter last set proves nothing of a heavier first.
bool one_load(const TrainingDay& day, double load_kg) {
  return std::all_of(day.sets.begin(), day.sets.end(),
                     [&](const TrainedSet& set) { return set.load_kg && *set.load_kg == load_kg; });
}

class Climber {
 public:
  Climber(const model::Ladder& ladder, const model::TrainingRules& rules) : ladder_(ladder), rules_(rules) {}

  [[nodiscard]] NextStep next(const Days& days) const {
    const auto at = std::find_if(ladder_.rungs.begin(), ladder_.rungs.end(),
                                 [&](const model::Rung& rung) { return rung.key == days.back()->rung; });
    const auto index = static_cast<std::size_t>(at - ladder_.rungs.begin());
    NextStep step;
    step.ladder = ladder_.key;
    step.trained_rung = days.back()->rung;
    step.days_on_rung = static_cast<int>(days.size());
    if (!days.back()->sets.empty()) step.load_kg = days.back()->sets.back().load_kg;
    decide(days, index, step);
    const std::size_t to = step.move == Move::up ? index + 1 : step.move == Move::down && index > 0 ? index - 1 : index;
    step.rung = ladder_.rungs[to].key;
    return step;
  }

 private:
  void decide(const Days& days, std::size_t index, NextStep& step) const {
    const TrainingDay& last = *days.back();
    const char* easiest = "pain-on-easiest";  // there is no rung below: nothing is left to train
    const auto sore = [&](const TrainingDay& day) {
      return day.pain_next_morning && *day.pain_next_morning > rules_.pain_morning.value;
    };
    const int in_row = static_cast<int>(rules_.sessions_in_row.value);
    if (last.pain_during && *last.pain_during > rules_.pain_limit.value) {
      return say(step, Move::down, index == 0 ? easiest : "pain-over-limit");
    }
    constexpr int mornings = 2;  // ours: one may be any day's, two running are the training's
    if (lately(days, mornings, sore)) return say(step, Move::down, index == 0 ? easiest : "pain-two-mornings");
    if (sore(last)) return say(step, Move::hold, "pain-next-morning");
    const auto told = [](const TrainingDay& day) { return day.pain_during && day.pain_next_morning; };
    const model::Rung& rung = ladder_.rungs[index];
    if (!lately(days, in_row, [&](const TrainingDay& day) { return day_passed(day, rung); })) {
      return say(step, Move::hold, "not-yet");
    }
    if (!lately(days, in_row, told)) return say(step, Move::hold, "pain-not-told");
    if (rung.loaded) return more_load(days, rung, step);
    if (index + 1 == ladder_.rungs.size()) return say(step, Move::hold, "last-rung");
    say(step, Move::up, "passed");
  }

  void more_load(const Days& days, const model::Rung& rung, NextStep& step) const {
    const int over = static_cast<int>(rules_.reps_over.value);
    const int in_row = static_cast<int>(rules_.sessions_in_row.value);
    if (!lately(days, in_row, [&](const TrainingDay& day) { return last_set_over(day, rung, over); })) {
      return say(step, Move::hold, "not-yet-over");
    }
    const auto load = step.load_kg;
    if (load && !lately(days, in_row, [&](const TrainingDay& day) { return one_load(day, *load); })) {
      return say(step, Move::hold, "not-yet-over");
    }
    say(step, Move::more_load, "over-target");
    if (!load) return;
    step.load_low_kg = *load * (1 + rules_.load_more_low_pct.value / 100);
    step.load_high_kg = *load * (1 + rules_.load_more_high_pct.value / 100);
  }

  static void say(NextStep& step, Move move, const char* why) {
    step.move = move;
    step.why = why;
  }

  const model::Ladder& ladder_;
  const model::TrainingRules& rules_;
};

// Pain on one ladder is the leg's: nothing moves up meanwhile.
void hold_while_one_hurts(std::vector<NextStep>& steps) {
  const bool hurts =
      std::any_of(steps.begin(), steps.end(), [](const NextStep& step) { return step.move == Move::down; });
  for (NextStep& step : steps) {
    if (!hurts || (step.move != Move::up && step.move != Move::more_load)) continue;
    step.move = Move::hold;
    step.why = "pain-elsewhere";
    step.rung = step.trained_rung;
    step.load_low_kg = step.load_high_kg = std::nullopt;
  }
}

}  // namespace

std::vector<NextStep> follow_ladders(const TrainingLog& log, const std::string& date,
                                     const model::TrainingRules& rules) {
  constexpr int days_of_week = 7;
  TrainingLog recent{log.person, {}};
  const int today = day_number(date).value_or(0);
  for (const TrainingDay& day : log.days) {
    const int ago = today - day_number(day.date).value_or(0);
    if (ago >= 0 && ago <= days_of_week * rules.log_weeks.value) recent.days.push_back(day);
  }
  std::vector<NextStep> steps;
  for (const model::Ladder& ladder : rules.ladders) {
    const Days days = last_days_on_rung(recent, ladder.key);
    if (!days.empty()) steps.push_back(Climber(ladder, rules).next(days));
  }
  hold_while_one_hurts(steps);
  return steps;
}

}  // namespace risetrace::visit
