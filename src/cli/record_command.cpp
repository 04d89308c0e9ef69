#include "cli/record_command.h"

namespace risetrace::cli {

std::string counted(long long count, const std::string& one) {
  return std::to_string(count) + " " + one + (count == 1 ? "" : "s");
}

void add_record_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* record =
      app.add_subcommand("record", "what is kept of visits on this machine: list, export, erase, verify");
  record->require_subcommand(1);
  record->footer("People are kept by a code, never a name. What is kept and where: docs/record.md");
  add_record_reading(*record, run);
  add_record_writing(*record, run);
  add_record_transfer(*record, program, run);
}

}  // namespace risetrace::cli
