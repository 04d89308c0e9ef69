// What `risetrace measure` says on the terminal.
#pragma once

#include <string>

#include "measure/measurement.h"

namespace risetrace::report {

// At most 12 lines (hops: 24) of at most 80 columns, a line feed after each. With `colour`, ANSI emphasis.
std::string summary(const measure::Measurement& measurement, bool colour);

}  // namespace risetrace::report
