// The answer of `risetrace check --json`, schema risetrace/check/1 (models/schema/check-result.schema.json).
#pragma once

#include <string>

#include "measure/setup.h"

namespace risetrace::report {

// Pretty-printed, two spaces, a line feed at the end. What is not known, or not finite, is null.
std::string check_json(const measure::Check& check, const std::string& program_version);

}  // namespace risetrace::report
