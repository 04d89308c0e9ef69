// Finds the heel sticker among everything round in the picture by how it moves, and follows it through the clip.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "base/result.h"
#include "camera/view.h"
#include "clip/frame.h"
#include "sticker/leg_tracks.h"
#include "sticker/spot.h"
#include "sticker/track.h"

namespace risetrace::sticker {

// What the foot does tells its sticker from all else that is round: the heel rises and comes down.
enum class Movement {
  raise,  // the forefoot stays where it is
  hop,    // the forefoot leaves the ground too, and a frame may see the heel several centimetres from where it was
};

struct TrackOptions {
  Movement movement = Movement::raise;
  // Where the stickers are in the first frame, upright pixels; found alone if empty.
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;                           // hops only
  std::optional<std::array<Point, 3>> leg_px = std::nullopt;  // raises only: ankle, knee, hip
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
  // What rises is told in `view`'s reference view: spots that all move together are the camera.
  Result<std::vector<TrackSample>> push(const clip::Frame& frame, const camera::View& view = {});

  // So far, from the first frame on which each was found; empty while the heel is not told apart, and for the forefoot
  // also where no sticker that goes with the heel lies level ahead of it.
  [[nodiscard]] std::span<const TrackSample> heel() const;
  [[nodiscard]] std::span<const TrackSample> forefoot() const;
  [[nodiscard]] std::optional<double> heel_radius_px() const;

  // What looks like a sticker and was seen most of the time, best look first, whether it moved or not; once the heel is
  // told apart, only the heel, and where it was found the forefoot after it.
  [[nodiscard]] std::vector<Spot> spots() const;

  // The whole track. Faults: sticker_not_found (nothing round stood out), no_movement (what did never rose and fell).
  Result<Track> finish();
  // After finish(): the forefoot's, where it was found.
  [[nodiscard]] std::optional<Track> forefoot_track() const;
  // The same of the leg's other stickers in a raise: all three of them, or none. Found with the heel (choose_leg.h); a
  // heel given by hand has none beside it unless they are given too.
  [[nodiscard]] LegTracks leg_tracks() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::sticker
