// The plan of a visit in words.
#pragma once

#include <string>
#include <vector>

#include "report/screen_words.h"

namespace risetrace::report {

// Sets, reps or seconds, beat, weight; what the log says of more weight.
std::string dose_in_words(const ScreenWords& words, const visit::PlanLine& line);
// "days 1, 3, 5 of each week".
std::string days_in_words(const ScreenWords& words, const visit::PlanLine& line);
// When to go on from this rung; of a loaded one, when to take more weight.
std::string move_up_in_words(const ScreenWords& words, const visit::PlanLine& line);
std::string pain_rule_in_words(const ScreenWords& words);
// Time between days of hopping; empty where there are none.
std::string rest_in_words(const ScreenWords& words);
// All of these, each sentence once.
std::vector<std::string> rules_in_words(const ScreenWords& words);
// What was left out of the plan and why.
std::vector<std::string> held_in_words(const ScreenWords& words);
// What the training log says, a sentence a ladder.
std::vector<std::string> log_in_words(const ScreenWords& words);

}  // namespace risetrace::report
