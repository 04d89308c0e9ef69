// From a session and what its tests gave to the evaluated visit: the only place that knows the order of this room's
// steps.
#pragma once

#include <optional>
#include <vector>

#include "base/result.h"
#include "model/read_visit_models.h"
#include "visit/earlier_visit.h"
#include "visit/screen.h"

namespace risetrace::visit {

struct Visit {
  Session session;
  std::vector<TestResult> results;
  std::vector<EarlierVisit> earlier;
  std::optional<TrainingLog> log;
};

// Faults: session_wrong where an earlier visit is of another person or of a later day, or where one clip (by its
// checksum) stands in two slots.
Result<Screen> evaluate(Visit visit, const model::VisitModels& models);

}  // namespace risetrace::visit
