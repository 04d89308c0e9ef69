#include "sticker/followed_spot.h"

#include <algorithm>
#include <cmath>

#include "sticker/find_blobs.h"

namespace risetrace::sticker {
namespace {

constexpr int most_skipped = 4;  // a still spot is fitted in every fifth frame, for the standing level's sake

}  // namespace

FollowedSpot::FollowedSpot(const Fit& first, const clip::Frame& frame, bool jerky)
    : follower_(first, frame.time_s, jerky),
      look_score_(spot_score(first)),
      last_fit_(first.explained),
      last_seen_s_(frame.time_s) {}

TrackSample FollowedSpot::follow(const clip::Frame& frame, bool still) {
  TrackSample sample;
  if (still && skipped_ < most_skipped && follower_.unchanged(frame)) {
    ++skipped_;
    sample = {frame.number, frame.time_s, place_px(), true, false, last_fit_};
  } else {
    skipped_ = 0;
    const Point before = place_px();
    const bool was_lost = follower_.frames_lost() > 0;
    sample = follower_.follow(frame);
    // A spot that never moved, was lost and is found elsewhere is another spot.
    strayed_ =
        still && was_lost && sample.seen && std::hypot(sample.px.x - before.x, sample.px.y - before.y) > radius_px();
    if (sample.seen) {
      last_fit_ = sample.fit;
      sigma_sum_px_ += follower_.last_sigma_px();
      ++fits_;
    }
  }
  if (sample.seen) {
    last_seen_s_ = frame.time_s;
    ++seen_;
  }
  samples_.push_back(sample);
  return sample;
}

bool FollowedSpot::is_at(const Fit& fit) const {
  const Point p = place_px();
  return std::hypot(p.x - fit.centre_px.x, p.y - fit.centre_px.y) < fit.look.outer_radius_px;
}

double FollowedSpot::sigma_px() const { return fits_ > 0 ? sigma_sum_px_ / fits_ : 0; }

Track FollowedSpot::track(FoundBy found_by) const {
  Track track;
  track.found_by = found_by;
  track.radius_px = radius_px();
  track.noise_px = sigma_px();
  track.samples = samples_;
  const auto seen = [](const TrackSample& s) { return s.seen; };
  track.frames_seen = seen_;
  const auto last = std::find_if(samples_.rbegin(), samples_.rend(), seen).base();
  track.frames_bridged = std::count_if(samples_.begin(), last, [](const TrackSample& s) { return !s.seen; });
  track.frames_repeated =
      std::count_if(samples_.begin(), samples_.end(), [](const TrackSample& s) { return s.repeated; });
  return track;
}

}  // namespace risetrace::sticker
