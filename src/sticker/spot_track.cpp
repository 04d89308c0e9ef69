#include "sticker/spot_track.h"

#include <algorithm>
#include <cmath>

#include "sticker/scatter.h"

namespace risetrace::sticker {

void SpotTrack::follow(const clip::Frame& frame, const camera::View& view) {
  const TrackSample sample = spot_.follow(frame, travel_px_ < moved_px);
  if (!sample.seen) return;
  seen_.push_back({frame.number, frame.time_s, view.ref_from_px.map(sample.px)});
  const Point first = seen_.front().ref_px;
  const Point last = seen_.back().ref_px;
  travel_px_ = std::max(travel_px_, std::hypot(last.x - first.x, last.y - first.y));
}

double SpotTrack::seen_share() const {
  const std::size_t samples = spot_.samples().size();
  return samples == 0 ? 0 : static_cast<double>(seen_.size()) / static_cast<double>(samples);
}

}  // namespace risetrace::sticker
