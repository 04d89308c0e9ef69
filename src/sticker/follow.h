// Follows one spot from frame to frame.
#pragma once

#include <optional>

#include "clip/frame.h"
#include "sticker/fit_sticker.h"
#include "sticker/track.h"

namespace risetrace::sticker {

// Plain state: where the spot was and how it looked. One object a spot.
class Follower {
 public:
  // `first` is a fit in the frame at `time_s`. `jerky`: the spot may be thrown as a hopping heel is, by 150 m/s2, and
  // is then looked for farther away.
  Follower(const Fit& first, double time_s, bool jerky = false);

  // The spot in this frame. Where it is not seen the sample holds the last place; after that it is looked for in a
  // growing neighbourhood.
  TrackSample follow(const clip::Frame& frame);

  [[nodiscard]] const Look& look() const { return look_; }
  [[nodiscard]] Point place_px() const { return place_px_; }
  [[nodiscard]] int frames_lost() const { return frames_lost_; }
  [[nodiscard]] double last_sigma_px() const { return sigma_px_; }

  // True while nothing in the spot's surroundings has changed since they were last looked at closely: the spot stands
  // still, and fitting it again would only cost time. Cheap.
  [[nodiscard]] bool unchanged(const clip::Frame& frame) const;

 private:
  [[nodiscard]] Point likely_way_px(double time_s) const;
  std::optional<Fit> look_near(const clip::Frame& frame, Point predicted_px) const;
  std::optional<Fit> search_around(const clip::Frame& frame, Point predicted_px, double reach_px) const;
  [[nodiscard]] bool same_sticker(const Fit& fit, double time_s) const;
  [[nodiscard]] bool as_plain_as_before(const Fit& fit) const;
  [[nodiscard]] bool same_shape(const Fit& fit, double time_s) const;
  [[nodiscard]] bool repeated(const clip::Frame& frame, double step_s) const;
  void accept(const Fit& fit, const clip::Frame& frame);

  Look look_;
  Look first_look_;
  Point place_px_;
  Point velocity_px_s_;
  double time_s_;
  bool jerky_;
  int frames_lost_ = 0;
  int times_seen_ = 0;
  double sigma_px_ = 0.0;
  double usual_explained_ = 0.0;
  clip::Patch still_;  // the surroundings when last accepted, for unchanged()
};

}  // namespace risetrace::sticker
