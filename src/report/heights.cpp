#include "report/heights.h"

namespace risetrace::report {
namespace {

// Walks through the reps along with the samples; both are in order of time.
class RepAt {
 public:
  explicit RepAt(const std::optional<raise::RepSet>& set) : set_(set) {}

  std::optional<int> at(double time_s) {
    if (!set_) return std::nullopt;
    while (next_ < set_->reps.size() && set_->reps[next_].end_s < time_s) ++next_;
    if (next_ == set_->reps.size() || time_s < set_->reps[next_].start_s) return std::nullopt;
    return set_->reps[next_].n;
  }

 private:
  const std::optional<raise::RepSet>& set_;
  std::size_t next_ = 0;
};

void add_height(HeightSample& sample, const path::PathSample& path, const std::optional<raise::RepSet>& set) {
  const double standing_cm = set ? set->standing_cm : 0.0;
  if (set) sample.height_cm = path.up_cm - standing_cm;
  if (set && path.seen) sample.height_raw_cm = path.up_raw_cm - standing_cm;
  if (path.seen) sample.across_cm = path.across_cm;
}

}  // namespace

std::vector<HeightSample> height_samples(const measure::Measurement& measurement) {
  std::vector<HeightSample> out;
  out.reserve(measurement.track.samples.size());
  const std::vector<path::PathSample>& path = measurement.path.samples;
  std::size_t next = 0;
  RepAt rep(measurement.raises);
  for (const sticker::TrackSample& track : measurement.track.samples) {
    HeightSample sample{track.frame, track.time_s, track.px, track.seen, track.fit, {}, {}, {}, rep.at(track.time_s)};
    while (next < path.size() && path[next].frame < track.frame) ++next;
    if (next < path.size() && path[next].frame == track.frame) add_height(sample, path[next], measurement.raises);
    out.push_back(sample);
  }
  return out;
}

}  // namespace risetrace::report
