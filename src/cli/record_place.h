// Where the record is.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <string>

#include "base/result.h"

namespace risetrace::cli {

// Adds --record FILE.
void add_record_option(CLI::App& command, std::string& given);

// What was given, else $RISETRACE_RECORD, else risetrace/record.sqlite in $XDG_DATA_HOME or ~/.local/share (XDG Base
// Directory Specification). option_wrong where there is no home either.
Result<std::filesystem::path> record_file(const std::string& given);

}  // namespace risetrace::cli
