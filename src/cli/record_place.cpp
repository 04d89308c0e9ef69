#include "cli/record_place.h"

#include <cstdlib>

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

std::string variable(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): before any thread is started
  return value == nullptr ? "" : value;
}

}  // namespace

void add_record_option(CLI::App& command, std::string& given) {
  command.add_option("--record", given, "the record's file (else $RISETRACE_RECORD, else in ~/.local/share/risetrace)");
}

Result<fs::path> record_file(const std::string& given) {
  if (!given.empty()) return fs::path(given);
  if (const std::string file = variable("RISETRACE_RECORD"); !file.empty()) return fs::path(file);
  fs::path data = variable("XDG_DATA_HOME");
  if (data.is_relative()) {  // the specification has relative ones ignored
    const std::string home = variable("HOME");
    if (home.empty()) {
      return Error{Fault::option_wrong, "there is no home folder to find the record in", "name it with --record FILE"};
    }
    data = fs::path(home) / ".local" / "share";
  }
  return data / "risetrace" / "record.sqlite";
}

}  // namespace risetrace::cli
