// Opens a local video file and hands out its frames in the order shown, each with its own time.
// Only a plain local file is opened; a playlist, a reference to another file or an address inside it is refused.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "base/result.h"
#include "clip/clip_facts.h"
#include "clip/frame.h"

namespace risetrace::clip {

class BytePipe;
class Demuxer;
struct Scan;

struct ReadOptions {
  std::optional<double> capture_fps;  // the true filming rate; wins over the file's own tag. 1 .. 10000
  int threads = 0;                    // of the decoder; 0: one a core, at most 4
  bool keep_chroma = false;
  // As the stream asks, the borders of its blocks. Without, decoding costs a sixth less, and a picture is off by what
  // moves a sticker's place by 0.01 px, 0.1 px where a hand shakes and little was spent on it (docs/choices.md).
  bool smooth_blocks = true;
};

// Not copyable; one thread at a time. Frames handed out stay valid after the reader is gone.
class ClipReader {
 public:
  // Faults: option_wrong, clip_missing, clip_unreadable, clip_no_picture, clip_too_large.
  static Result<ClipReader> open(const std::string& path, const ReadOptions& options);

  // What comes through a pipe, while it comes; waits for its beginning. `name` stands for it in the facts. The decoder
  // holds back at most `threads` - 1 frames, and as many as the stream itself says that it needs. Faults as open(),
  // but for clip_missing.
  static Result<ClipReader> open_pipe(std::shared_ptr<BytePipe> pipe, const std::string& name,
                                      const ReadOptions& options);

  ClipReader(const ClipReader&) = delete;
  ClipReader& operator=(const ClipReader&) = delete;
  ClipReader(ClipReader&&) noexcept;
  ClipReader& operator=(ClipReader&&) noexcept;
  ~ClipReader();

  // The next frame shown; empty at the end of the clip. A clip cut off in the middle ends early with a note, not an
  // error. Fault clip_no_frames where the end comes before the first frame.
  Result<std::optional<Frame>> next();
  // No farther than the first frame at or after this, s of filming, as if the clip ended there; before the first
  // next(). What facts() then says is of that part.
  void stop_after(double filming_s);
  // What is known so far; complete once next() was empty.
  [[nodiscard]] ClipFacts facts() const;
  // Where the file has the first frame shown, in seconds of its own clock, which its sound shares; nothing before that
  // frame was read.
  [[nodiscard]] std::optional<double> zero_in_file_s() const;
  // 0 .. 1 by time, for a progress bar; 0 of a pipe before its end.
  [[nodiscard]] double share_read() const;

 private:
  struct Inside;
  explicit ClipReader(std::unique_ptr<Inside> inside);
  static Result<ClipReader> begin(const std::string& name, Demuxer demuxer, const Scan* scan,
                                  const ReadOptions& options);
  static Result<ClipReader> open_unnamed(const std::string& path, const ReadOptions& options);
  std::unique_ptr<Inside> inside_;
};

// Lower-case hex. Faults: clip_missing.
Result<std::string> sha256_of_file(const std::string& path);

}  // namespace risetrace::clip
