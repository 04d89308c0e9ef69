#include "report/hop_samples.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace risetrace::report {
namespace {

using ByFrame = std::map<std::int64_t, HopSample>;

HopSample& sample_of(ByFrame& samples, std::int64_t frame) {
  HopSample& sample = samples[frame];
  sample.frame = frame;
  return sample;
}

void add_stickers(ByFrame& samples, const measure::Measurement& m) {
  if (m.forefoot) {
    for (const sticker::TrackSample& track : m.forefoot->samples) {
      HopSample& sample = sample_of(samples, track.frame);
      sample.time_s = track.time_s;
      sample.forefoot_px = track.px;
      sample.forefoot_seen = track.seen;
    }
  }
  for (const sticker::TrackSample& track : m.track.samples) {
    HopSample& sample = sample_of(samples, track.frame);
    sample.time_s = track.time_s;
    sample.heel_px = track.px;
    sample.heel_seen = track.seen;
  }
}

void add_heights(ByFrame& samples, const measure::Measurement& m) {
  double lowest_cm = std::numeric_limits<double>::infinity();
  for (const path::PathSample& path : m.path.samples) {
    if (path.seen) lowest_cm = std::min(lowest_cm, path.up_raw_cm);
  }
  for (const path::PathSample& path : m.path.samples) {
    if (path.seen) sample_of(samples, path.frame).heel_up_cm = path.up_raw_cm - lowest_cm;
  }
}

void add_clearance(ByFrame& samples, const measure::Measurement& m) {
  for (const sole::ClearanceSample& clearance : m.clearance.samples) {
    HopSample& sample = sample_of(samples, clearance.frame);
    sample.time_s = clearance.time_s;
    if (!clearance.seen) continue;
    sample.clearance_px = clearance.up_px;
    if (clearance.sigma_px > 0) sample.clearance_px_u = clearance.sigma_px;
    if (m.scale.px_per_cm && *m.scale.px_per_cm > 0) sample.clearance_cm = clearance.up_px / *m.scale.px_per_cm;
  }
}

// A hop begins with the flight before its touchdown, which begins where the hop before left the ground.
void add_hops(ByFrame& samples, const hop::HopSet& set) {
  for (std::size_t i = 0; i < set.hops.size(); ++i) {
    const hop::Hop& hop = set.hops[i];
    std::int64_t from = hop.touchdown_frame;
    if (i > 0 && set.hops[i - 1].takeoff_frame && hop.flight_ms) from = *set.hops[i - 1].takeoff_frame;
    const std::int64_t to = hop.takeoff_frame.value_or(hop.touchdown_frame + 1);
    for (auto at = samples.lower_bound(from); at != samples.end() && at->first < to; ++at) at->second.hop = hop.n;
  }
}

std::vector<std::optional<double>> ways_up(const std::vector<HopSample>& samples, bool forefoot) {
  double lowest_px = -std::numeric_limits<double>::infinity();
  std::vector<std::optional<double>> out;
  for (const HopSample& sample : samples) {
    const bool seen = forefoot ? sample.forefoot_seen : sample.heel_seen;
    const auto& px = forefoot ? sample.forefoot_px : sample.heel_px;
    out.push_back(seen && px ? std::optional(px->y) : std::nullopt);
    if (out.back()) lowest_px = std::max(lowest_px, *out.back());
  }
  for (auto& value : out) {
    if (value) value = lowest_px - *value;
  }
  return out;
}

}  // namespace

GroundAt::GroundAt(const hop::Contacts& contacts) {
  if (!contacts.times_known) return;
  std::optional<std::int64_t> off_from;
  for (const hop::Contact& contact : contacts.contacts) {
    if (contact.touchdown) {
      if (off_from) changes_.push_back({*off_from, Ground::off});
      changes_.push_back({contact.touchdown->frame, contact.takeoff ? Ground::on : Ground::unknown});
    }
    off_from = contact.takeoff ? std::optional(contact.takeoff->frame) : std::nullopt;
    // Off the ground only once the next touchdown is known, which then adds that from the same frame on.
    if (off_from) changes_.push_back({*off_from, Ground::unknown});
  }
}

Ground GroundAt::at(std::int64_t frame) const {
  const auto after = std::upper_bound(changes_.begin(), changes_.end(), frame,
                                      [](std::int64_t number, const Change& change) { return number < change.frame; });
  return after == changes_.begin() ? Ground::unknown : std::prev(after)->ground;
}

std::vector<HopSample> hop_samples(const measure::Measurement& measurement) {
  ByFrame by_frame;
  add_stickers(by_frame, measurement);
  add_heights(by_frame, measurement);
  add_clearance(by_frame, measurement);
  if (measurement.hops) add_hops(by_frame, *measurement.hops);
  const GroundAt ground(measurement.contacts);
  std::vector<HopSample> out;
  out.reserve(by_frame.size());
  for (auto& [frame, sample] : by_frame) {
    sample.ground = ground.at(frame);
    out.push_back(sample);
  }
  return out;
}

HopTrace hop_trace(const measure::Measurement& measurement, const std::vector<HopSample>& samples) {
  const bool sole = std::any_of(samples.begin(), samples.end(), [](const auto& s) { return s.clearance_px; });
  const bool forefoot = std::any_of(samples.begin(), samples.end(), [](const auto& s) { return s.forefoot_seen; });
  if (!sole && forefoot) return {"forefoot sticker, px above its lowest place", ways_up(samples, true)};
  if (!sole) return {"heel sticker, px above its lowest place", ways_up(samples, false)};
  HopTrace trace;
  trace.title = measurement.scale.px_per_cm ? "sole above the floor, cm" : "sole above the floor, px";
  for (const HopSample& sample : samples) {
    trace.value.push_back(measurement.scale.px_per_cm ? sample.clearance_cm : sample.clearance_px);
  }
  return trace;
}

}  // namespace risetrace::report
