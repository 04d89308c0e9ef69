// What `risetrace screen` says on the terminal.
#pragma once

#include <string>

#include "model/wording.h"
#include "visit/screen.h"

namespace risetrace::report {

// At most 40 lines of at most 100 columns, a line feed after each: cautions first, then pain, findings, the sides, the
// plan. `words`: of the clinician, in any language.
std::string screen_summary(const visit::Screen& screen, const model::Wording& words);

}  // namespace risetrace::report
