// A result counted anew, for the terminal and for programs.
#pragma once

#include <string>

#include "review/recount.h"

namespace risetrace::report {

// Schema risetrace/recount/1 (models/schema/recount.schema.json, docs/corrections.md). Fields that a result has too are
// as there, uncertainties null.
std::string recount_json(const review::Recount& recount, const std::string& program_version);

std::string recount_text(const review::Recount& recount);

}  // namespace risetrace::report
