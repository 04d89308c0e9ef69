// Where in a result.json each quantity stands.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "visit/test_result.h"

namespace risetrace::visit {

// Fills values, beats, strokes and how the set was asked for. Throws json::exception on what is missing or mistyped.
void take_values(const nlohmann::json& document, TestResult& out);

}  // namespace risetrace::visit
