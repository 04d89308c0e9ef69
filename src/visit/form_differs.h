// Whether two tests were done alike enough for one of their numbers to be set against each other.
#pragma once

#include <string>

#include "model/norms.h"
#include "visit/test_result.h"

namespace risetrace::visit {

// The first thing that differs and changes this number: "set-not-ended" (one of the clips ended before its set did: its
// count is a lower bound), "fraction", "marker", "incline", "beat". Empty: alike, for all that is written.
std::string form_differs(const model::Quantity& quantity, const TestResult& a, const TestResult& b);

}  // namespace risetrace::visit
