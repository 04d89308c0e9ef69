// One spot followed from where it was first seen, with all that is asked of it afterwards.
#pragma once

#include <optional>
#include <vector>

#include "camera/view.h"
#include "clip/frame.h"
#include "sticker/fit_sticker.h"
#include "sticker/follow.h"
#include "sticker/track.h"

namespace risetrace::sticker {

class SpotTrack {
 public:
  SpotTrack(const Fit& first, const clip::Frame& frame);

  // Every frame from the first on. A spot that has not moved and round which nothing changes is fitted in every fifth
  // frame only.
  void follow(const clip::Frame& frame, const camera::View& view);

  struct Seen {
    std::int64_t frame = 0;
    double time_s = 0.0;
    Point ref_px;  // in the camera's reference view; by the last known one where this frame's is not
  };
  // Of the frames that saw it, in order.
  [[nodiscard]] const std::vector<Seen>& seen() const { return seen_; }
  [[nodiscard]] Point place_px() const { return follower_.place_px(); }
  [[nodiscard]] double radius_px() const { return follower_.look().outer_radius_px; }
  [[nodiscard]] double look_score() const { return look_score_; }
  // Farthest from where it was first seen, reference view.
  [[nodiscard]] double travel_px() const { return travel_px_; }
  [[nodiscard]] double last_seen_s() const { return last_seen_s_; }
  [[nodiscard]] double seen_share() const;
  // It had never moved, was lost and found elsewhere: another spot.
  [[nodiscard]] bool strayed() const { return strayed_; }
  [[nodiscard]] Track track(FoundBy found_by) const;

 private:
  Follower follower_;
  std::vector<TrackSample> samples_;
  std::vector<Seen> seen_;
  double look_score_;
  double last_fit_;
  double last_seen_s_;
  double sigma_sum_px_ = 0.0;
  int fits_ = 0;
  double travel_px_ = 0.0;
  int skipped_ = 0;  // frames in a row in which it was not fitted
  bool strayed_ = false;
};

}  // namespace risetrace::sticker
