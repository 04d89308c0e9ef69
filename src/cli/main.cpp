// The command line: chooses a command and says what went wrong in one line.
#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <optional>
#include <string>

#include "cli/commands.h"

namespace {

constexpr const char* about =
    "risetrace measures heel raises, hops and lunges in side-view phone clips, and puts a visit together.\n"
    "Not a medical device: it decides nothing. Local rules and the licensed clinician come first.";

constexpr const char* footer =
    "Exit status: 0 done, 2 the command line is wrong, 3 the clip (or record, or exported file) cannot be\n"
    "read, 4 it was read but what was asked cannot be measured (or is not there), 5 nothing can be written\n"
    "there, 70 a defect of ours, 130 stopped from the keyboard.\n"
    "Begin with: risetrace print card, then risetrace measure CLIP --report --overlay (hops: --test hop)";

// CLI11's own text, made one line in the program's form.
int say_usage(const CLI::ParseError& error, const std::string& command) {
  std::string why = error.what();
  for (char& c : why) {
    if (c == '\n') c = ' ';
  }
  const std::string help = command.empty() ? "risetrace --help" : "risetrace " + command + " --help";
  return risetrace::cli::fail({risetrace::Fault::option_wrong, why, "see " + help});
}

bool is_command(const CLI::App& app, const std::string& word) {
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (command->check_name(word)) return true;
  }
  return false;
}

// What CLI11 would only call a command that is missing: the first word that is none, of the program's or of `record`'s.
std::optional<risetrace::Error> wrong_command(const CLI::App& app, int argc, char** argv) {
  const auto no_command = [](const std::string& word, const std::string& help) {
    return risetrace::Error{risetrace::Fault::option_wrong, "'" + word + "' is not a command", "see " + help};
  };
  if (argc < 2 || argv[1][0] == '-') return std::nullopt;
  if (!is_command(app, argv[1])) return no_command(argv[1], "risetrace --help");
  const CLI::App* chosen = app.get_subcommand(argv[1]);
  const bool has_commands = !chosen->get_subcommands([](const CLI::App*) { return true; }).empty();
  if (!has_commands || argc < 3 || argv[2][0] == '-' || is_command(*chosen, argv[2])) return std::nullopt;
  return no_command(std::string(argv[1]) + " " + argv[2], "risetrace " + std::string(argv[1]) + " --help");
}

int run_program(int argc, char** argv) {
  CLI::App app{about, "risetrace"};
  app.footer(footer);
  app.require_subcommand(1);
  app.set_version_flag("--version", std::string("risetrace ") + RISETRACE_VERSION, "print the version and stop");
  std::error_code ignored;
  std::filesystem::path self = std::filesystem::read_symlink("/proc/self/exe", ignored);
  if (ignored) self = argv[0];
  const risetrace::cli::Program program{self, RISETRACE_VERSION};
  risetrace::cli::Run run;
  risetrace::cli::add_measure_command(app, program, run);
  risetrace::cli::add_recount_command(app, program, run);
  risetrace::cli::add_screen_command(app, program, run);
  risetrace::cli::add_check_command(app, program, run);
  risetrace::cli::add_beat_command(app, program, run);
  risetrace::cli::add_print_command(app, program, run);
  risetrace::cli::add_record_command(app, program, run);
  risetrace::cli::add_serve_command(app, program, run);
  risetrace::cli::add_synth_command(app, program, run);
  if (const auto wrong = wrong_command(app, argc, argv)) return risetrace::cli::fail(*wrong);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    return app.exit(asked);
  } catch (const CLI::ParseError& error) {
    const auto chosen = app.get_subcommands();
    return say_usage(error, chosen.empty() ? "" : chosen.front()->get_name());
  }
  return run();
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run_program(argc, argv);
  } catch (const std::exception& defect) {
    return risetrace::cli::fail({risetrace::Fault::defect, defect.what(), ""});
  } catch (...) {
    return risetrace::cli::fail({risetrace::Fault::defect, "an unknown exception", ""});
  }
}
