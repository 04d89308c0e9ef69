// A visit as two tidy tables for studies (docs/screen-files.md): one has a row a number, the other a row a comparison.
// Two files, because a measured number and a difference of two are not the same kind of row. UTF-8, RFC 4180.
#pragma once

#include <string>

#include "visit/screen.h"

namespace risetrace::report {

// Every number that was measured or typed in, hops also at each beat, and the pain that was asked for. What was typed
// in freely (remarks, tester, file names) is left out, but for the marker. Numbers keep every digit; a cell is empty
// where nothing is known.
std::string values_csv(const visit::Screen& screen);

// Left against right, bent against straight, measured against reference.
std::string comparison_csv(const visit::Screen& screen);

}  // namespace risetrace::report
