// Hands out a clip's sound as one channel, piece by piece, on the picture's clock. A second reading of the same file:
// it shares nothing with a ClipReader and may run in a thread beside it.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "base/note.h"
#include "base/result.h"
#include "clip/sound.h"

namespace risetrace::clip {

struct SoundOptions {
  std::optional<double> capture_fps;  // as in ReadOptions: the true filming rate; 1 .. 10000
};

struct SoundFacts {
  bool there = false;  // a sound track that could be opened; whether any of it could be decoded only next() tells
  std::string codec;   // libav's name: "aac"
  int channels = 0;
  int file_rate_hz = 0;
  double stretch = 1.0;  // seconds in the file per second of filming, of the sound
  Notes notes;           // complete once next() was empty
};

// Not copyable; one thread at a time. Holds a packet, a decoded frame and the mixer's short delay, whatever the length.
class SoundReader {
 public:
  // Faults: as ClipReader::open and, where not one frame can be shown, clip_no_frames. A clip without a sound track is
  // no fault: facts().there is false and next() is empty.
  static Result<SoundReader> open(const std::string& path, const SoundOptions& options);

  SoundReader(const SoundReader&) = delete;
  SoundReader& operator=(const SoundReader&) = delete;
  SoundReader(SoundReader&&) noexcept;
  SoundReader& operator=(SoundReader&&) noexcept;
  ~SoundReader();

  // The next piece; empty at the end. Pieces follow one another without overlap; one begins more than 15 ms after the
  // end of the one before where the sound has a gap, and within a millisecond of it otherwise. A damaged track yields
  // what can be read, then a note. Never a fault but for want of memory (clip_unreadable).
  Result<std::optional<SoundPiece>> next();
  [[nodiscard]] const SoundFacts& facts() const;

 private:
  struct Inside;
  explicit SoundReader(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::clip
