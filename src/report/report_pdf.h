// One A4 page for the notes of the person tested.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "measure/measurement.h"

namespace risetrace::report {

// `date`: of making, ISO 8601 ("2026-03-14" or with a time); the same input and date give the same bytes.
// Fault cannot_write.
Outcome write_report(const std::filesystem::path& file, const measure::Measurement& measurement,
                     const std::string& program_version, const std::string& date);

}  // namespace risetrace::report
