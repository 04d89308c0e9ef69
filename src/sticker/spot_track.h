// A followed spot and how it went in the camera's reference view.
#pragma once

#include <vector>

#include "camera/view.h"
#include "sticker/followed_spot.h"

namespace risetrace::sticker {

class SpotTrack {
 public:
  SpotTrack(const Fit& first, const clip::Frame& frame) : spot_(first, frame) {}

  // Every frame from the first on.
  void follow(const clip::Frame& frame, const camera::View& view);

  struct Seen {
    std::int64_t frame = 0;
    double time_s = 0.0;
    Point ref_px;  // in the camera's reference view; by the last known one where this frame's is not
  };
  // Of the frames that saw it, in order.
  [[nodiscard]] const std::vector<Seen>& seen() const { return seen_; }
  [[nodiscard]] const FollowedSpot& spot() const { return spot_; }
  // Farthest from where it was first seen, reference view.
  [[nodiscard]] double travel_px() const { return travel_px_; }
  [[nodiscard]] double seen_share() const;

 private:
  FollowedSpot spot_;
  std::vector<Seen> seen_;
  double travel_px_ = 0.0;
};

}  // namespace risetrace::sticker
