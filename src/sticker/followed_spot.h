// One spot followed from where it was first seen: what every tracker keeps of it.
#pragma once

#include <vector>

#include "clip/frame.h"
#include "sticker/fit_sticker.h"
#include "sticker/follow.h"
#include "sticker/track.h"

namespace risetrace::sticker {

inline constexpr double look_again_s = 1.0;       // between searches of the whole picture
inline constexpr double give_up_s = 1.5;          // a spot lost for so long is dropped while searching
inline constexpr double least_look_score = 28.0;  // below, it is a lace, a seam, a shadow: no sticker to a person's eye

class FollowedSpot {
 public:
  // `jerky`: see Follower.
  FollowedSpot(const Fit& first, const clip::Frame& frame, bool jerky = false);

  // The spot in this frame; every frame from the first on. `still`: it has never moved so far. Then, while nothing
  // round it changes, it is fitted in every fifth frame only, and where it is lost and found elsewhere it has strayed.
  TrackSample follow(const clip::Frame& frame, bool still);

  [[nodiscard]] const Look& look() const { return follower_.look(); }
  [[nodiscard]] double radius_px() const { return look().outer_radius_px; }
  [[nodiscard]] Point place_px() const { return follower_.place_px(); }
  [[nodiscard]] const std::vector<TrackSample>& samples() const { return samples_; }
  [[nodiscard]] double look_score() const { return look_score_; }
  [[nodiscard]] double last_seen_s() const { return last_seen_s_; }
  [[nodiscard]] int times_seen() const { return seen_; }  // of the samples
  [[nodiscard]] double sigma_px() const;                  // of one place, mean over the fits; 0 of none
  // A fit from a search is of this spot.
  [[nodiscard]] bool is_at(const Fit& fit) const;
  // While searching: it is another spot by now, or out of sight for too long.
  [[nodiscard]] bool to_be_dropped(double time_s) const { return strayed_ || time_s - last_seen_s_ > give_up_s; }
  [[nodiscard]] Track track(FoundBy found_by) const;

 private:
  Follower follower_;
  std::vector<TrackSample> samples_;
  double look_score_;
  double last_fit_;
  double last_seen_s_;
  double sigma_sum_px_ = 0.0;
  int fits_ = 0;
  int seen_ = 0;
  int skipped_ = 0;  // frames in a row in which it was not fitted, since nothing around it changed
  bool strayed_ = false;
};

}  // namespace risetrace::sticker
