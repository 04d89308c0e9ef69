// Finds the stickers of knee and ankle in a clip of weight-bearing lunges by how they move, and follows them.
#pragma once

#include <array>
#include <memory>
#include <optional>

#include "base/result.h"
#include "camera/view.h"
#include "clip/frame.h"
#include "sticker/leg_tracks.h"

namespace risetrace::sticker {

struct LungeTrackOptions {
  std::optional<std::array<Point, 2>> shank_px;  // ankle and knee in the first frame, upright pixels; found if empty
};

// Push every frame in order. Until the shank has leant over and stayed so for a moment all spots are followed; then
// only its two. No frame is kept and none is looked at twice.
class LungeTracker {
 public:
  explicit LungeTracker(const LungeTrackOptions& options);
  LungeTracker(const LungeTracker&) = delete;
  LungeTracker& operator=(const LungeTracker&) = delete;
  LungeTracker(LungeTracker&&) noexcept;
  LungeTracker& operator=(LungeTracker&&) noexcept;
  ~LungeTracker();

  // Faults: those of a place given by hand that shows no sticker.
  Outcome push(const clip::Frame& frame, const camera::View& view = {});
  // Ankle and knee. Faults: leg_stickers_missing (nothing round, or only one of the two), no_lunge (round spots, but
  // none that leant over another).
  Result<LegTracks> finish();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::sticker
