// The parts of `risetrace record`: each adds its commands below it.
#pragma once

#include <CLI/CLI.hpp>

#include "cli/commands.h"

namespace risetrace::cli {

void add_record_reading(CLI::App& record, Run& run);                           // list, show, verify
void add_record_writing(CLI::App& record, Run& run);                           // add, erase
void add_record_transfer(CLI::App& record, const Program& program, Run& run);  // export, import

// "1 visit", "2 visits".
std::string counted(long long count, const std::string& one);

}  // namespace risetrace::cli
