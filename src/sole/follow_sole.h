// The shoe's lowest part above the floor, frame by frame, seen against the still background under it.
//
// Each contact supplies its own picture of the front of the shoe (see shoe_piece.h), taken when the heel is lowest, and
// the flights beside it the picture of the floor without the shoe. Where the sole's edge lies in it is learnt from all
// contacts together (see shared_edge.h). From the middle of the contact the piece is followed
// backwards to the flight before and forwards to the flight after. Nothing is known beforehand about shoe or floor, and
// a foot that lands elsewhere each time does no harm.
#pragma once

#include <memory>
#include <optional>

#include "clip/frame.h"
#include "sole/clearance.h"

namespace risetrace::sole {

struct SoleOptions {
  double px_per_cm = 10.0;     // about: sizes the search, not the result
  double forward = 1.0;        // +1: the toes point right in the picture, -1: left
  double heel_floor_px = 0.0;  // the row of the heel's sticker when it is lowest
  double heel_column_px = 0.0;
};

// Feed every frame in order. Pieces of some two seconds of them are kept at the most. The work is done in a thread of
// its own; push() waits where that falls behind. finish() comes last, once, and throws what was thrown in the thread.
class SoleFollower {
 public:
  explicit SoleFollower(const SoleOptions& options);
  SoleFollower(const SoleFollower&) = delete;
  SoleFollower& operator=(const SoleFollower&) = delete;
  SoleFollower(SoleFollower&&) noexcept;
  SoleFollower& operator=(SoleFollower&&) noexcept;
  ~SoleFollower();

  // Stickers where they were seen in this frame, upright pixels.
  void push(const clip::Frame& frame, std::optional<Point> heel_px, std::optional<Point> forefoot_px);
  Clearance finish();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::sole
