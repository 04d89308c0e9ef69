#include "cli/write_aside.h"

#include <unistd.h>

#include <string>

namespace risetrace::cli {

namespace fs = std::filesystem;

Outcome write_aside(const fs::path& out, const std::function<Outcome(const fs::path&)>& write) {
  const fs::path aside = out.string() + ".partial-" + std::to_string(getpid());
  const Outcome written = write(aside);
  std::error_code failed;
  if (written) fs::rename(aside, out, failed);
  if (written && !failed) return Done{};
  std::error_code ignored;
  fs::remove(aside, ignored);
  std::string why = written ? out.string() + ": " + failed.message() : written.error().why;
  if (why.starts_with(aside.string())) why.replace(0, aside.string().size(), out.string());
  return Error{Fault::cannot_write, why, "choose another file with --out"};
}

}  // namespace risetrace::cli
