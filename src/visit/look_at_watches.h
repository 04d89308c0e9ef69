// Whether one watch of a sign is low on one side.
#pragma once

#include <vector>

#include "model/norms.h"
#include "model/reading_rules.h"
#include "visit/finding.h"

namespace risetrace::visit {

struct Looked {
  const std::vector<TestResult>& results;
  const Comparison& comparison;
  const model::Norms& norms;
};

// What could be looked at: none where the numbers are not there. Of hops against the other side, at
// the fastest beat that both hopped to.
std::vector<Evidence> look_at(const model::Watch& watch, Side side, const Looked& looked);

}  // namespace risetrace::visit
