// Decodes beside its caller: a thread of its own reads the clip a few frames ahead.
#pragma once

#include <memory>
#include <optional>

#include "base/result.h"
#include "clip/clip_facts.h"
#include "clip/frame.h"
#include "clip/read_clip.h"

namespace risetrace::clip {

// The same frames in the same order as the reader it is made from. Frames wait decoded, not copied: as many as fill
// 10 MB, from 2 to 12 of them. One caller. It may go at any time: the thread then stops after the frame in hand.
class ReadAhead {
 public:
  explicit ReadAhead(ClipReader reader);
  ReadAhead(const ReadAhead&) = delete;
  ReadAhead& operator=(const ReadAhead&) = delete;
  ReadAhead(ReadAhead&&) noexcept;
  ReadAhead& operator=(ReadAhead&&) noexcept;
  ~ReadAhead();

  // As ClipReader::next(); an error comes after the frames read before it. Waits while none is ready.
  Result<std::optional<Frame>> next();
  // Of the clip up to the frame that next() gave last, 0 .. 1 by time.
  [[nodiscard]] double share_read() const;
  // Complete once next() was empty, nothing before.
  [[nodiscard]] const ClipFacts& facts() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::clip
