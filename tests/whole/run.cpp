#include "whole/run.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <regex>
#include <sstream>
#include <thread>

namespace risetrace::test {
namespace fs = std::filesystem;
namespace {

// In the child: never returns.
[[noreturn]] void become(const Words& command, const RunOptions& options, const Place& place, int input) {
  const auto put = [&](const char* name, int number) {
    const int file = ::open((place / name).c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    ::dup2(file, number);
    ::close(file);
  };
  put("out", STDOUT_FILENO);
  put("err", STDERR_FILENO);
  ::dup2(input, STDIN_FILENO);
  for (const auto& [name, value] : options.environment) {
    ::setenv(name.c_str(), value.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): a single thread after fork
  }
  if (!options.folder.empty() && ::chdir(options.folder.c_str()) != 0) ::_exit(126);
  std::vector<char*> argv;
  argv.reserve(command.size() + 1);
  for (const std::string& word : command)
    argv.push_back(const_cast<char*>(word.c_str()));  // NOLINT: execvp's signature
  argv.push_back(nullptr);
  ::execvp(argv[0], argv.data());
  ::_exit(127);
}

// Held by one process at a time, so that tests running side by side render a scene once.
class Lock {
 public:
  explicit Lock(const fs::path& file) : number_(::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600)) {
    ::flock(number_, LOCK_EX);
  }
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;
  ~Lock() { ::close(number_); }

 private:
  int number_;
};

}  // namespace

Ran run(const Words& command, const RunOptions& options) {
  const Place place;
  std::array<int, 2> pipe = {::open("/dev/null", O_RDONLY | O_CLOEXEC), -1};
  if (options.feed && ::pipe2(pipe.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe can be made");
  const pid_t child = ::fork();
  if (child == 0) become(command, options, place, pipe[0]);
  ::close(pipe[0]);
  std::thread feeder;
  if (options.feed) {
    std::signal(SIGPIPE, SIG_IGN);  // the program may be gone before all is written
    feeder = std::thread([&] {
      options.feed(pipe[1]);
      ::close(pipe[1]);
    });
  }
  if (options.interrupt_after_s) {
    std::this_thread::sleep_for(std::chrono::duration<double>(*options.interrupt_after_s));
    ::kill(child, SIGINT);
  }
  int state = 0;
  while (::waitpid(child, &state, 0) < 0 && errno == EINTR) {
  }
  if (feeder.joinable()) feeder.join();
  return {WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state), read_file(place / "out"),
          read_file(place / "err")};
}

Ran risetrace_run(const Words& arguments, const RunOptions& options) {
  Words command = {RISETRACE_PROGRAM};
  command.insert(command.end(), arguments.begin(), arguments.end());
  return run(command, options);
}

bool have(const std::string& tool) { return run({tool, "-v"}).status != 127; }

Place::Place() {
  std::string name = (fs::temp_directory_path() / "risetrace-whole-XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder can be made");
  path_ = name;
}

Place::~Place() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

Words Place::holds() const {
  Words names;
  for (const auto& entry : fs::directory_iterator(path_)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

std::string read_file(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream all;
  all << in.rdbuf();
  return all.str();
}

void write_file(const fs::path& file, const std::string& bytes) {
  std::ofstream(file, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

void expect_refused(const Ran& ran, int status, const Words& words) {
  EXPECT_EQ(ran.status, status) << ran.err;
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(std::count(ran.err.begin(), ran.err.end(), '\n'), 1) << ran.err;
  static const std::regex form("risetrace: [^:;\n]+: [^\n]*[^\n ;]; [^\n]+[^\n .]\n");
  EXPECT_TRUE(std::regex_match(ran.err, form)) << ran.err;
  for (const std::string& word : words) EXPECT_NE(ran.err.find(word), std::string::npos) << word << "\n" << ran.err;
}

std::string expect_refused_clip(const std::string& clip, int status, const Words& words, const Words& more) {
  const Place place;
  Words arguments = {"measure", clip, "--out", place / "out", "--report", "--overlay"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  const Ran ran = risetrace_run(arguments);
  expect_refused(ran, status, words);
  EXPECT_EQ(place.holds(), Words{}) << "something was left behind";
  return ran.err;
}

nlohmann::json measured(const std::string& clip, const std::string& out, const Words& more) {
  Words arguments = {"measure", clip, "--out", out, "--quiet"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  const Ran ran = risetrace_run(arguments);
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  return nlohmann::json::parse(read_file(fs::path(out) / "result.json"), nullptr, false);
}

std::vector<double> heights_cm(const nlohmann::json& result_or_truth) {
  std::vector<double> heights;
  if (!result_or_truth.contains("heel_raise") || result_or_truth["heel_raise"].is_null()) return heights;
  for (const auto& rep : result_or_truth["heel_raise"]["reps"]) heights.push_back(rep["height_cm"].get<double>());
  return heights;
}

void expect_same_heights(const std::vector<double>& got, const std::vector<double>& wanted, double tolerance_cm) {
  ASSERT_EQ(got.size(), wanted.size());
  for (std::size_t i = 0; i < got.size(); ++i) EXPECT_NEAR(got[i], wanted[i], tolerance_cm) << "rep " << i + 1;
}

nlohmann::json small_scene(const nlohmann::json& changes) {
  nlohmann::json scene = nlohmann::json::parse(R"({
    "schema": "risetrace/scene/1", "seed": 5,
    "camera": {"width_px": 640, "height_px": 360, "fps": 30, "px_per_cm": 7, "height_cm": 22,
               "exposure_s": 0.006, "noise_grey": 0.4},
    "movement": {"lead_in_s": 0.8, "tail_s": 0.6, "reps": [
      {"height_cm": 9.5, "period_s": 1.9}, {"height_cm": 9.2, "period_s": 2.0}, {"height_cm": 9.0, "period_s": 2.0}]}
  })");
  if (!changes.is_null()) scene.merge_patch(changes);
  return scene;
}

std::string rendered(const nlohmann::json& scene) {
  const fs::path program = RISETRACE_PROGRAM;
  const auto built = fs::last_write_time(program).time_since_epoch().count();
  const std::size_t key = std::hash<std::string>()(scene.dump() + std::to_string(built));
  const fs::path kept = program.parent_path() / "whole-clips";
  fs::create_directories(kept);
  const fs::path clip = kept / (std::to_string(key) + ".mp4");
  const Lock lock(kept / (std::to_string(key) + ".lock"));
  if (fs::exists(clip)) return clip.string();
  const Place place;
  write_file(place / "scene.json", scene.dump());
  const Ran ran = risetrace_run({"synth", place / "scene.json", "--quiet", "--out", clip.string()});
  EXPECT_EQ(ran.status, 0) << ran.err;
  return clip.string();
}

nlohmann::json truth_of(const std::string& clip) {
  return nlohmann::json::parse(read_file(fs::path(clip).replace_extension(".truth.json")));
}

}  // namespace risetrace::test
