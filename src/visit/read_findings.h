// Reads the comparison by the rules of models/reading.json.
#pragma once

#include <vector>

#include "model/norms.h"
#include "model/reading_rules.h"
#include "visit/finding.h"

namespace risetrace::visit {

// Each sign is looked at on each side: low where one of its watches is, good where none is low and, if the sign has a
// limit, a number was held against it, else unknown: alike is not good. A rule fires on a side whose signs are as it
// says; where it fires on both and neither is lower than the other, the finding is of both. What was not tested makes
// signs unknown, never good.
//
// How sure a low watch is: beyond the cut-off and beyond what measuring can make, it is doubtful within the optimistic
// retest noise or where none is published, likely beyond it, sure beyond the cautious one. A value
// against a limit is as sure as the rules allow. Within what measuring can make it is not low. A finding is as sure as
// its surest evidence, and where two signs must be low, as the less sure of the two.
Reading read_findings(const std::vector<TestResult>& results, const Comparison& comparison,
                      const model::ReadingRules& rules, const model::Norms& norms);

}  // namespace risetrace::visit
