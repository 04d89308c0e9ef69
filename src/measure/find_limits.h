// What is wrong with a set-up, and what it costs.
#pragma once

#include <vector>

#include "measure/setup.h"
#include "model/check_limits.h"

namespace risetrace::measure {

// What stops the measuring first, then what costs most. Nothing for a good set-up.
std::vector<Finding> find_limits(const Setup& setup, const ExpectedError& expected, const model::CheckLimits& limits);

// Of the first that stops the measuring: the fault that `measure` would end with. Empty where none does.
std::optional<Error> stopped_by(const Setup& setup, const std::vector<Finding>& findings);

Verdict verdict_of(const Setup& setup, const ExpectedError& expected, const std::vector<Finding>& findings,
                   const model::CheckLimits& limits);

}  // namespace risetrace::measure
