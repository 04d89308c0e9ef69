// A camera's pictures as a recording that comes through a pipe. The program ffmpeg opens the camera: linking what it
// opens cameras with would bring some thirty libraries of sound, windows and discs into every start of this program.
#pragma once

#include <sys/types.h>

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "clip/camera_modes.h"

namespace risetrace::clip {

// ffmpeg's words for it: what is coded already is passed on as it is, what is raw is coded with as little delay and
// loss as it can; each picture
// with the time that the camera gave it; Matroska, each piece handed on at once. Without a mode the device is taken as
// it stands.
std::vector<std::string> camera_command(const std::string& device, const std::optional<CameraMode>& mode);

// A program whose standard output is read. Ended, and waited for, when this goes. One thread.
class Feed {
 public:
  // Found by PATH. Fault clip_missing: there is no such program.
  static Result<Feed> start(const std::vector<std::string>& command);
  Feed(const Feed&) = delete;
  Feed& operator=(const Feed&) = delete;
  Feed(Feed&& other) noexcept;
  Feed& operator=(Feed&&) = delete;
  ~Feed();

  // Its standard output, once: the caller owns it from then on.
  [[nodiscard]] int take_output();
  // Asks it to end in order; what it has still to write comes.
  void ask_to_end() const;
  // The last line that it has written on standard error; waits for its end, but no longer than a second.
  [[nodiscard]] std::string last_words();

 private:
  Feed(pid_t process, int output, int errors) : process_(process), output_(output), errors_(errors) {}
  bool ends_within(int longest_ms);
  pid_t process_ = -1;
  int output_ = -1;
  int errors_ = -1;  // a file in memory: nobody reads it before the end, and it must never be full
};

}  // namespace risetrace::clip
