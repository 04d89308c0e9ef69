// The report of a visit for the clinician.
#pragma once

#include <string>

#include "base/result.h"
#include "model/wording.h"
#include "visit/screen.h"

namespace risetrace::report {

// Two or three A4 pages: cautions first, then pain, findings, plan; then both sides' plots and tables, references,
// trends, how each number was got, method and a line to sign. A long visit is told more closely; what is left out is
// said. `words`: of the clinician, in any language. `today`: ISO 8601; the same input and day give the same bytes.
// Fault cannot_write.
Outcome write_screen_report(const std::string& file, const visit::Screen& screen, const model::Wording& words,
                            const std::string& version, const std::string& today);

}  // namespace risetrace::report
