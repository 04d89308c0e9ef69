// What to train, from the findings, the cautions and what was trained so far.
#pragma once

#include <string>
#include <vector>

#include "model/ladders.h"
#include "visit/caution.h"
#include "visit/finding.h"
#include "visit/plan.h"
#include "visit/training_log.h"

namespace risetrace::visit {

struct PlanQuestion {
  std::string date;  // of the visit
  Side affected_side = Side::not_stated;
  const CautionVerdict& cautions;
  const Reading& reading;
  const std::vector<TestResult>& results;
  const std::vector<NextStep>&
      next_steps;  // by the training log, a ladder each; where there is one it decides the rung
};

// No plan is made over a caution that says refer, or that would and was not asked, over pain beyond the limit in a test
// or on the easiest rung, over a leg without a single raise, or where what was tested says too little. Where strength
// has to come first, where the ankle's range does, where hops are ruled out and where a question of care stands at yes,
// the recoil ladder is held back. The strength ladder starts where single-leg raises of the weaker leg put it
// (from_reps), the recoil ladder at its easiest rung.
Plan make_plan(const PlanQuestion& question, const model::TrainingRules& rules);

}  // namespace risetrace::visit
