// What to train from here on, and when to test again.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/test_form.h"
#include "model/ladders.h"

namespace risetrace::visit {

// One ladder's part of the plan.
struct PlanLine {
  std::string ladder;
  model::Rung rung;
  std::optional<model::Rung> next;  // empty on the last
  Side leads = Side::not_stated;    // the weaker side begins each set; both are trained
  std::string why;                  // wording key: "start-by-reps", "start-easiest", "log-up", "log-hold", "log-down"
  std::optional<double> by_reps;    // the count that put the start
  std::optional<double> load_kg;    // from the log
  std::vector<int> days;            // of the week, 1 .. 7 counted from the first day of training
};

struct Plan {
  bool made = false;
  std::string why_not;  // wording key where none is made: "refer", "pain", "pain-in-training", "no-raise",
                        // "nothing-tested", "not-asked", "says-too-little", or one of held_back
  std::vector<PlanLine> lines;
  std::vector<std::string> held_back;    // wording keys: "recoil-after-strength", "recoil-no-hops", "ankle-first"
  std::optional<std::string> next_test;  // date
};

}  // namespace risetrace::visit
