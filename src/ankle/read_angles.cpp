#include "ankle/read_angles.h"

#include <cmath>
#include <numbers>

#include "ankle/pose_angles.h"
#include "base/geometry.h"
#include "math/statistics.h"

namespace risetrace::ankle {
namespace {

// Walks along a track that begins later or has been left out in places.
class Walk {
 public:
  explicit Walk(const std::optional<sticker::Track>& track) : track_(track) {}
  const sticker::TrackSample* at(std::int64_t frame) {
    if (!track_) return nullptr;
    while (next_ < track_->samples.size() && track_->samples[next_].frame < frame) ++next_;
    if (next_ == track_->samples.size() || track_->samples[next_].frame != frame) return nullptr;
    return &track_->samples[next_];
  }

 private:
  const std::optional<sticker::Track>& track_;
  std::size_t next_ = 0;
};

double between(Point a, Point b) { return std::hypot(b.x - a.x, b.y - a.y); }

// The usual length of what leads from one sticker to the other, in the plane.
template <typename Length>
double usual(const LegAngles& angles, const Length& length) {
  std::vector<double> lengths;
  for (const LegSample& s : angles.samples) {
    if (s.places) lengths.push_back(length(*s.places));
  }
  return math::median(lengths);
}

// A sample may be off in the knee's angle alone: the hip's sticker strayed.
void drop_strays(LegAngles& angles, const PlaneMap& map, double stiff_within, bool hip) {
  const auto shank = [&](const LegPlaces& p) { return between(map.map(p.ankle_px), map.map(p.knee_px)); };
  const auto thigh = [&](const LegPlaces& p) {
    return between(map.map(p.knee_px), map.map(p.hip_px.value_or(p.knee_px)));
  };
  const double usual_shank = usual(angles, shank);
  const double usual_thigh = usual(angles, thigh);
  for (LegSample& s : angles.samples) {
    if (!s.places) continue;
    const bool shank_off = std::abs(shank(*s.places) / usual_shank - 1) > stiff_within;
    const bool thigh_off = hip && std::abs(thigh(*s.places) / usual_thigh - 1) > stiff_within;
    if (shank_off || thigh_off) ++angles.frames_strayed;
    if (shank_off) s.shank_deg.reset();
    if (shank_off || thigh_off) s.knee_deg.reset();
    if (shank_off) s.places.reset();
  }
}

}  // namespace

LegAngles read_angles(const sticker::LegTracks& tracks, const camera::CameraPath& camera, const PlaneMap& map,
                      const AngleQuestion& question) {
  LegAngles out;
  out.forward = question.forward;
  out.upright_by_card = map.by_card();
  Walk knee(tracks.knee);
  Walk hip(tracks.hip);
  for (const sticker::TrackSample& ankle_seen : tracks.ankle->samples) {
    const sticker::TrackSample* knee_seen = knee.at(ankle_seen.frame);
    const sticker::TrackSample* hip_seen = hip.at(ankle_seen.frame);
    if (knee_seen == nullptr) continue;
    LegSample sample{ankle_seen.frame, ankle_seen.time_s, {}, {}, {}};
    const camera::View view = camera::view_of(camera, ankle_seen.frame);
    const bool hip_known = !tracks.hip || (hip_seen != nullptr && hip_seen->seen);
    if (ankle_seen.seen && knee_seen->seen && hip_known && view.known) {
      LegPlaces places{view.ref_from_px.map(ankle_seen.px), view.ref_from_px.map(knee_seen->px), {}};
      if (hip_seen != nullptr) places.hip_px = view.ref_from_px.map(hip_seen->px);
      sample.places = places;
      sample.shank_deg = shank_deg(map, places, question.forward);
      if (places.hip_px) sample.knee_deg = knee_deg(map, places, question.forward);
    }
    out.samples.push_back(sample);
  }
  drop_strays(out, map, question.stiff_within, tracks.hip.has_value());
  double length_px = 0;
  for (const LegSample& s : out.samples) {
    if (!s.places) continue;
    ++out.frames_seen;
    length_px = between(s.places->ankle_px, s.places->knee_px);
  }
  const double ends = tracks.hip ? 2.4 : std::numbers::sqrt2;  // knee: hip 1, ankle 1, knee 2 in limb lengths, squared
  if (length_px > 0) out.localising_deg = ends * question.localising_u_px / length_px * deg_per_rad;
  return out;
}

}  // namespace risetrace::ankle
