// The result file of one clip, schema risetrace/result/1 (models/schema/result.schema.json, docs/result.md).
#pragma once

#include <string>

#include "measure/measurement.h"

namespace risetrace::report {

// Pretty-printed, two spaces, a line feed at the end. What is not known, or not finite, is null.
std::string result_json(const measure::Measurement& measurement, const std::string& program_version);

}  // namespace risetrace::report
