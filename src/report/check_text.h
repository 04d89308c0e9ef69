// What `risetrace check` says on the terminal.
#pragma once

#include <string>

#include "measure/setup.h"

namespace risetrace::report {

// Lines of at most 80 columns: the verdict, what error to expect and what makes most of it, what is wrong and what to
// do, what was seen, what no clip shows. With `colour`, ANSI emphasis.
std::string check_text(const measure::Check& check, bool colour);

}  // namespace risetrace::report
