#include "sticker/spot_track.h"

#include <algorithm>
#include <cmath>

#include "sticker/find_blobs.h"
#include "sticker/scatter.h"

namespace risetrace::sticker {
namespace {

constexpr int most_skipped = 4;

double apart(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

}  // namespace

SpotTrack::SpotTrack(const Fit& first, const clip::Frame& frame)
    : follower_(first, frame.time_s),
      look_score_(spot_score(first)),
      last_fit_(first.explained),
      last_seen_s_(frame.time_s) {}

void SpotTrack::follow(const clip::Frame& frame, const camera::View& view) {
  const bool never_moved = travel_px_ < moved_px;
  TrackSample sample;
  if (never_moved && !samples_.empty() && skipped_ < most_skipped && follower_.unchanged(frame)) {
    ++skipped_;
    sample = {frame.number, frame.time_s, follower_.place_px(), true, false, last_fit_};
  } else {
    skipped_ = 0;
    const Point before = follower_.place_px();
    const bool was_lost = follower_.frames_lost() > 0;
    sample = follower_.follow(frame);
    strayed_ = never_moved && was_lost && sample.seen && apart(sample.px, before) > radius_px();
    if (sample.seen) {
      last_fit_ = sample.fit;
      sigma_sum_px_ += follower_.last_sigma_px();
      ++fits_;
    }
  }
  samples_.push_back(sample);
  if (!sample.seen) return;
  last_seen_s_ = frame.time_s;
  seen_.push_back({frame.number, frame.time_s, view.ref_from_px.map(sample.px)});
  travel_px_ = std::max(travel_px_, apart(seen_.back().ref_px, seen_.front().ref_px));
}

double SpotTrack::seen_share() const {
  return samples_.empty() ? 0 : static_cast<double>(seen_.size()) / static_cast<double>(samples_.size());
}

Track SpotTrack::track(FoundBy found_by) const {
  Track track;
  track.found_by = found_by;
  track.radius_px = radius_px();
  track.noise_px = fits_ > 0 ? sigma_sum_px_ / fits_ : 0;
  track.samples = samples_;
  const auto seen = [](const TrackSample& s) { return s.seen; };
  track.frames_seen = std::count_if(samples_.begin(), samples_.end(), seen);
  track.frames_bridged = std::count_if(samples_.begin(), std::find_if(samples_.rbegin(), samples_.rend(), seen).base(),
                                       [](const TrackSample& s) { return !s.seen; });
  track.frames_repeated =
      std::count_if(samples_.begin(), samples_.end(), [](const TrackSample& s) { return s.repeated; });
  return track;
}

}  // namespace risetrace::sticker
