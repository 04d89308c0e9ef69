// Frames as they are filmed: from a camera, a pipe, or a file played at its own pace.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "clip/clip_facts.h"
#include "clip/frame.h"
#include "clip/read_clip.h"

namespace risetrace::clip {

struct LiveOptions {
  ReadOptions read;  // capture_fps of a file only
  double speed = 1;  // of a file: so many times its own pace
  std::string keep;  // a new file for the recording; empty: none
};

// A thread of its own reads and decodes; frames wait decoded as in ReadAhead. One caller. It may go at any time.
class LiveReader {
 public:
  // "-": standard input. "/dev/video...": that camera, in best_mode(). A file's path: played from its beginning.
  // Faults at once: option_wrong, clip_missing, cannot_write, those of ClipReader::open() for a file. What is wrong
  // with a pipe or a camera's pictures shows when they are read.
  static Result<LiveReader> open(const std::string& source, const LiveOptions& options);
  // What comes through this descriptor, which is taken over.
  static Result<LiveReader> open_pipe(int descriptor, const std::string& name, const LiveOptions& options);
  // What this program writes on its standard output; it is ended with the reader. `name`: for the facts and for faults.
  static Result<LiveReader> open_program(const std::vector<std::string>& command, const std::string& name,
                                         const LiveOptions& options);
  LiveReader(const LiveReader&) = delete;
  LiveReader& operator=(const LiveReader&) = delete;
  LiveReader(LiveReader&&) noexcept;
  LiveReader& operator=(LiveReader&&) noexcept;
  ~LiveReader();

  enum class Came { frame, nothing, end };
  struct Next {
    Came came = Came::nothing;
    std::optional<Frame> frame;
  };
  // Waits for the next frame, but no longer than this. Faults as ClipReader::next(), and those of opening a pipe.
  Result<Next> next_within(double seconds);
  // No more is wanted: what lies ready still comes, of a camera what was filmed until now, then the end.
  void stop();
  // Complete once the end came, nothing before.
  [[nodiscard]] const ClipFacts& facts() const;
  // After the end: what became of the recording, where it was to be kept.
  [[nodiscard]] std::optional<Error> keep_error() const;
  // After the end: that a camera stopped by itself, and what is known of why.
  [[nodiscard]] const std::optional<Note>& broken_off() const;

 private:
  struct Inside;
  explicit LiveReader(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::clip
