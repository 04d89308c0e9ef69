// Finds the heel sticker among everything round in the picture by how it moves, and follows it through the clip.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "base/result.h"
#include "clip/frame.h"
#include "sticker/track.h"

namespace risetrace::sticker {

struct TrackOptions {
  std::optional<Point> heel_px;  // where the sticker is in the first frame, upright pixels; found alone if empty
};

// Push every frame in order. Until one full rise and fall has shown which spot is the heel, all spots are followed;
// then only that one. No frame is kept and none is looked at twice, so the same code runs while the camera does.
class StickerTracker {
 public:
  explicit StickerTracker(const TrackOptions& options);
  StickerTracker(const StickerTracker&) = delete;
  StickerTracker& operator=(const StickerTracker&) = delete;
  StickerTracker(StickerTracker&&) noexcept;
  StickerTracker& operator=(StickerTracker&&) noexcept;
  ~StickerTracker();

  // The heel's samples that became known with this frame, in order: none while it is not yet told apart, then all since
  // it was first seen, then one a frame. Fault sticker_not_found where heel_px shows nothing like a sticker.
  Result<std::vector<TrackSample>> push(const clip::Frame& frame);

  // The whole track. Faults: sticker_not_found (nothing round stood out), no_movement (what did never rose and fell).
  Result<Track> finish();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::sticker
