// A file of corrections, schema risetrace/corrections/1 (models/schema/corrections.schema.json).
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "base/test_form.h"
#include "review/corrections.h"

namespace risetrace::review {

// Fault corrections_wrong, naming the correction and the field.
Result<Corrections> read_corrections(const std::filesystem::path& file);
Result<Corrections> read_corrections_text(const std::string& text, const std::string& name);

// Whether each is of something that the test has, and the clip's checksum, where one is said, is this one. Fault
// corrections_wrong.
Outcome corrections_fit(const Corrections& corrections, Test test);
Outcome is_of_clip(const Corrections& corrections, const std::string& sha256);

}  // namespace risetrace::review
