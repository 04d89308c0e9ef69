// The parts of a screen's JSON. Inside of report/.
#pragma once

#include <nlohmann/json.hpp>

#include "visit/screen.h"

namespace risetrace::report {

nlohmann::ordered_json values_json(const visit::Values& values);  // "K", "K_u", "K_shared_relative_u"
nlohmann::ordered_json notes_json(const Notes& notes);

nlohmann::ordered_json session_json(const visit::Session& session);
nlohmann::ordered_json result_of_test_json(const visit::TestResult& result);
nlohmann::ordered_json comparison_json(const visit::Comparison& comparison);
nlohmann::ordered_json reading_json(const visit::Reading& reading);
nlohmann::ordered_json plan_json(const visit::Plan& plan);
nlohmann::ordered_json next_step_json(const visit::NextStep& step);
nlohmann::ordered_json trend_json(const visit::Trend& trend);

// {"test", "side", "knee"} into an object, before what else stands in it.
void add_slot(nlohmann::ordered_json& object, const visit::Slot& slot);

// One list of the JSON of each.
template <typename List, typename Write>
nlohmann::ordered_json list_json(const List& list, Write write) {
  nlohmann::ordered_json out = nlohmann::ordered_json::array();
  for (const auto& one : list) out.push_back(write(one));
  return out;
}

}  // namespace risetrace::report
