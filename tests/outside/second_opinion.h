// Asks Python with scipy for a second opinion while the tests run. Where it is not installed the test is skipped and
// says so; the committed reference numbers are checked all the same.
#pragma once

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

namespace risetrace::test {

inline const char* python() {
  const char* given = std::getenv("RISETRACE_TEST_PYTHON");  // NOLINT(concurrency-mt-unsafe)
  return given != nullptr ? given : "/usr/bin/python3";
}

// A script in a file of its own, so that no quoting is needed; the file is gone afterwards.
class Script {
 public:
  explicit Script(const std::string& text) {
    static int number = 0;
    file_ = std::filesystem::temp_directory_path() /
            ("risetrace-" + std::to_string(std::hash<std::string>{}(text)) + "-" + std::to_string(++number) + ".py");
    std::ofstream(file_) << text;
  }
  Script(const Script&) = delete;
  Script& operator=(const Script&) = delete;
  ~Script() {
    std::error_code ignored;
    std::filesystem::remove(file_, ignored);
  }

  // What it printed, whitespace separated numbers; empty if it failed.
  [[nodiscard]] std::optional<std::vector<double>> numbers(const std::string& arguments) const {
    const std::string command = std::string(python()) + " " + file_.string() + " " + arguments;
    FILE* pipe = popen(command.c_str(), "r");
    if (pipe == nullptr) return std::nullopt;
    std::string said;
    std::array<char, 4096> part{};
    while (const std::size_t n = fread(part.data(), 1, part.size(), pipe)) said.append(part.data(), n);
    if (pclose(pipe) != 0) return std::nullopt;
    std::vector<double> out;
    std::istringstream words(said);
    for (double value = 0; words >> value;) out.push_back(value);
    return out;
  }

 private:
  std::filesystem::path file_;
};

inline bool scipy_here() {
  static const bool here = Script("import numpy, scipy.signal\nprint(1)\n").numbers("2>/dev/null").has_value();
  return here;
}

}  // namespace risetrace::test

#define RISETRACE_NEEDS_SCIPY() \
  if (!risetrace::test::scipy_here()) GTEST_SKIP() << "no Python with scipy here for a second opinion"
