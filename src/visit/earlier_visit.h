// What an earlier visit of the same person gave.
#pragma once

#include <string>
#include <vector>

#include "visit/test_result.h"

namespace risetrace::visit {

struct EarlierVisit {
  std::string date;
  std::string person_code;
  std::vector<TestResult> results;  // without traces
};

}  // namespace risetrace::visit
