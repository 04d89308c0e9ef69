#include "visit/test_result.h"

#include <algorithm>

namespace risetrace::visit {

const TestResult* result_of(const std::vector<TestResult>& results, const Slot& slot) {
  const auto found =
      std::find_if(results.begin(), results.end(), [&](const TestResult& one) { return one.slot == slot; });
  return found == results.end() ? nullptr : &*found;
}

const Value* value_of(const Values& values, const std::string& quantity) {
  const auto found = values.find(quantity);
  return found == values.end() ? nullptr : &found->second;
}

}  // namespace risetrace::visit
