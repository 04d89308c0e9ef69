// Runs the built program as its users do, and what every test of it asks of the answer.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

namespace risetrace::test {

struct Ran {
  int status = -1;  // exit status; 128 + N where signal N ended it
  std::string out;
  std::string err;
};

struct RunOptions {
  std::map<std::string, std::string> environment;  // added to the test's own
  std::optional<double> interrupt_after_s;         // SIGINT, as Ctrl-C sends it
  std::filesystem::path folder;                    // to run in; empty: the test's own
  std::function<void(int)> feed = {};              // writes to this descriptor, the program's standard input
};

using Words = std::vector<std::string>;

// argv[0] is looked up on PATH. Status 127: no such program.
Ran run(const Words& command, const RunOptions& options = {});
Ran risetrace_run(const Words& arguments, const RunOptions& options = {});
bool have(const std::string& tool);

// A folder of the test's own, gone with it.
class Place {
 public:
  Place();
  Place(const Place&) = delete;
  Place& operator=(const Place&) = delete;
  ~Place();
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] std::string operator/(const std::string& name) const { return (path_ / name).string(); }
  [[nodiscard]] Words holds() const;  // names, in order

 private:
  std::filesystem::path path_;
};

std::string read_file(const std::filesystem::path& file);
void write_file(const std::filesystem::path& file, const std::string& bytes);

// The one line "risetrace: WHAT is wrong: WHY; WHAT TO DO", nothing on standard output, the status, the words in it.
void expect_refused(const Ran& ran, int status, const Words& words = {});
// Measures `clip` into a new place; also asks that nothing at all is left there. Gives the line.
std::string expect_refused_clip(const std::string& clip, int status, const Words& words, const Words& more = {});
// Measures into `out`; a failure is the test's.
nlohmann::json measured(const std::string& clip, const std::string& out, const Words& more = {});
std::vector<double> heights_cm(const nlohmann::json& result_or_truth);
void expect_same_heights(const std::vector<double>& got, const std::vector<double>& wanted, double tolerance_cm);

// A scene quick to render; change it by a JSON merge patch.
nlohmann::json small_scene(const nlohmann::json& changes = {});
// Its clip, rendered once a build and kept beside the program; the truth lies beside it.
std::string rendered(const nlohmann::json& scene);
nlohmann::json truth_of(const std::string& clip);

}  // namespace risetrace::test

#define RISETRACE_NEEDS_TOOL(tool) \
  if (!risetrace::test::have(tool)) GTEST_SKIP() << (tool) << " is not installed"
