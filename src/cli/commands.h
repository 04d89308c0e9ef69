// One function a command: adds it with its options to the program; `run` becomes what to do when it was chosen.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>

#include "base/error.h"

namespace risetrace::cli {

struct Program {
  std::filesystem::path path;  // of the program itself, to find models/ by
  std::string version;
};

using Run = std::function<int()>;  // gives the exit status

void add_measure_command(CLI::App& app, const Program& program, Run& run);
void add_recount_command(CLI::App& app, const Program& program, Run& run);
void add_screen_command(CLI::App& app, const Program& program, Run& run);
void add_check_command(CLI::App& app, const Program& program, Run& run);
void add_beat_command(CLI::App& app, const Program& program, Run& run);
void add_print_command(CLI::App& app, const Program& program, Run& run);
void add_record_command(CLI::App& app, const Program& program, Run& run);
void add_serve_command(CLI::App& app, const Program& program, Run& run);
void add_synth_command(CLI::App& app, const Program& program, Run& run);

// Says the one line on standard error and gives the exit status.
int fail(const Error& error);

// For an option that may be left out.
std::optional<std::string> unless_empty(const std::string& text);

// For option->check(): a number within [least, greatest]; NaN is not.
CLI::Validator number_between(double least, double greatest, const std::string& unit);

}  // namespace risetrace::cli
