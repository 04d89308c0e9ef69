#include "clip/camera_feed.h"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <system_error>
#include <utility>

#include "base/close_file.h"
#include "base/rounded.h"

namespace risetrace::clip {
std::vector<std::string> camera_command(const std::string& device, const std::optional<CameraMode>& mode) {
  std::vector<std::string> words{"ffmpeg", "-nostdin", "-hide_banner", "-loglevel", "error", "-f", "v4l2"};
  if (mode) {
    words.insert(words.end(), {"-input_format", mode->coding, "-framerate", rounded(mode->frame_rate_hz, 3),
                               "-video_size", std::to_string(mode->width_px) + "x" + std::to_string(mode->height_px)});
  }
  words.insert(words.end(), {"-i", device, "-an", "-c:v"});
  if (mode && mode->coded) {
    words.emplace_back("copy");
  } else {
    words.insert(words.end(), {"libx264", "-preset", "ultrafast", "-tune", "zerolatency", "-crf", "18", "-fps_mode",
                               "passthrough", "-enc_time_base", "1/1000", "-pix_fmt", "yuv420p"});
  }
  words.insert(words.end(), {"-cluster_time_limit", "100", "-flush_packets", "1", "-f", "matroska", "-"});
  return words;
}

Result<Feed> Feed::start(const std::vector<std::string>& command) {
  std::array<int, 2> out{-1, -1};
  int errors = ::memfd_create("words", MFD_CLOEXEC);
  const bool piped = errors >= 0 && ::pipe2(out.data(), O_CLOEXEC) == 0;
  posix_spawn_file_actions_t files;
  posix_spawnattr_t how;
  ::posix_spawn_file_actions_init(&files);
  ::posix_spawnattr_init(&how);
  ::posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  ::posix_spawn_file_actions_adddup2(&files, out[1], STDOUT_FILENO);
  ::posix_spawn_file_actions_adddup2(&files, errors, STDERR_FILENO);
  // A group of its own: Ctrl-C at the terminal is for the program that reads, which then lets this one go in order.
  ::posix_spawnattr_setflags(&how, POSIX_SPAWN_SETPGROUP);
  std::vector<std::string> words = command;
  std::vector<char*> argv;
  argv.reserve(words.size() + 1);
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  pid_t process = -1;
  const int wrong = piped ? ::posix_spawnp(&process, argv[0], &files, &how, argv.data(), environ) : errno;
  ::posix_spawn_file_actions_destroy(&files);
  ::posix_spawnattr_destroy(&how);
  close_file(out[1]);
  if (wrong == 0) return Feed(process, out[0], errors);
  close_file(out[0]);
  close_file(errors);
  return Error{Fault::clip_missing,
               "the program " + command.front() +
                   ", which opens cameras, cannot be started: " + std::generic_category().message(wrong),
               "install it (apt install ffmpeg), or send a recording through a pipe"};
}

Feed::Feed(Feed&& other) noexcept
    : process_(std::exchange(other.process_, -1)),
      output_(std::exchange(other.output_, -1)),
      errors_(std::exchange(other.errors_, -1)) {}

Feed::~Feed() {
  close_file(output_);
  close_file(errors_);
  ask_to_end();
  constexpr int patience_ms = 2000;
  if (ends_within(patience_ms)) return;
  ::kill(process_, SIGKILL);
  ::waitpid(process_, nullptr, 0);
}

bool Feed::ends_within(int longest_ms) {
  constexpr int look_ms = 20;
  for (int waited_ms = 0; process_ > 0; waited_ms += look_ms) {
    if (::waitpid(process_, nullptr, WNOHANG) != 0) process_ = -1;
    if (process_ <= 0 || waited_ms >= longest_ms) break;
    ::poll(nullptr, 0, look_ms);
  }
  return process_ <= 0;
}

int Feed::take_output() { return std::exchange(output_, -1); }

void Feed::ask_to_end() const {
  if (process_ > 0) ::kill(process_, SIGTERM);
}

std::string Feed::last_words() {
  constexpr int patience_ms = 1000;
  ends_within(patience_ms);
  std::array<char, 1024> tail{};
  const off_t length = ::lseek(errors_, 0, SEEK_END);
  const off_t from = std::max<off_t>(0, length - static_cast<off_t>(tail.size()));
  const ssize_t got = ::pread(errors_, tail.data(), tail.size(), from);
  std::string said(tail.data(), static_cast<std::size_t>(std::max<ssize_t>(0, got)));
  while (!said.empty() && (said.back() == '\n' || said.back() == '\r')) said.pop_back();
  const auto line = said.rfind('\n');
  return line == std::string::npos ? said : said.substr(line + 1);
}

}  // namespace risetrace::clip
