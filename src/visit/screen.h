// A whole visit, evaluated: what every output of `screen` is made from.
#pragma once

#include <string>
#include <vector>

#include "model/read_visit_models.h"
#include "visit/caution.h"
#include "visit/comparison.h"
#include "visit/finding.h"
#include "visit/plan.h"
#include "visit/session.h"
#include "visit/test_result.h"
#include "visit/training_log.h"
#include "visit/trend.h"

namespace risetrace::visit {

struct Screen {
  Session session;
  CautionVerdict cautions;
  std::vector<TestResult> results;  // in the order of a visit: lunge, heel raises, hops; left before right
  Comparison comparison;
  Reading reading;
  Plan plan;
  std::vector<NextStep> next_steps;  // by the training log
  std::vector<Trend> trends;
  model::VisitModels models;  // what it was judged by: every output takes units, decimals and limits from here
  Notes notes;                // of the visit as a whole: a test left out, sides that look swapped
};

}  // namespace risetrace::visit
