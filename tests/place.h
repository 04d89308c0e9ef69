// Where tests find things.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <string>

namespace risetrace::test {

inline std::filesystem::path source_folder() { return RISETRACE_SOURCE; }

// The real footage and recordings: RISETRACE_DATA, else ../shared/data beside the project. A test whose file is not
// there is skipped with the reason.
inline std::filesystem::path data_folder() {
  const char* given = std::getenv("RISETRACE_DATA");  // NOLINT(concurrency-mt-unsafe)
  return given != nullptr ? std::filesystem::path(given) : source_folder().parent_path() / "shared" / "data";
}

}  // namespace risetrace::test

// In a test: returns from it as skipped where the recorded file is absent.
#define RISETRACE_NEEDS_DATA(path) \
  if (!std::filesystem::exists(path)) GTEST_SKIP() << "recorded data not here: " << (path).filename()
