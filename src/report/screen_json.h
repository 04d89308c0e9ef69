// A whole visit as one document, schema risetrace/screen/1 (models/schema/screen.schema.json, docs/screen-files.md).
#pragma once

#include <string>

#include "visit/screen.h"

namespace risetrace::report {

// Everything in the screen, the cautions first. Numbers keep every digit, in the unit that ends their name; a row that
// names its `quantity` is in that quantity's unit. What is not known, or not finite, is null. Files are named without
// their folders. Pretty-printed, two spaces, a list of plain values on one line, a line feed at the end; always UTF-8.
std::string screen_json(const visit::Screen& screen, const std::string& program_version);

}  // namespace risetrace::report
