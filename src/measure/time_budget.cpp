#include "measure/time_budget.h"

#include <algorithm>
#include <cmath>

#include "measure/height_budget.h"
#include "review/by_hand.h"

namespace risetrace::measure {
namespace {

// Between two frames T apart a curve of second derivative c lies off the straight line by c T^2 s (1 - s) / 2, s even
// over 0 .. 1: root mean square and standard deviation of s (1 - s) / 2 (derived here).
constexpr double straight_rms = 0.0913;
constexpr double straight_sd = 0.0373;

// The smoothed height as a curve of known slope and bend.
class Curve {
 public:
  Curve(const path::Path& path, double frame_s) : path_(path), samples_(path.samples), frame_s_(frame_s) {}

  // Speed, cm/s, and second derivative, cm/s2, about `time_s`.
  [[nodiscard]] double slope(double time_s) const {
    return (up(time_s + frame_s_) - up(time_s - frame_s_)) / (2 * frame_s_);
  }
  [[nodiscard]] double bend(double time_s) const {
    return (up(time_s + 2 * frame_s_) - 2 * up(time_s) + up(time_s - 2 * frame_s_)) / (4 * frame_s_ * frame_s_);
  }
  // The sticker was seen about it, and the curve goes on to both sides: an instant at its very end is where the sticker
  // came in sight, no crossing.
  [[nodiscard]] bool holds(double time_s) const {
    return time_s > samples_.front().time_s + frame_s_ && time_s < samples_.back().time_s - frame_s_ &&
           seen_about(path_, time_s, frame_s_);
  }
  // The instant before (direction -1) or after (1) `time_s` at which the height falls under `level_cm`.
  [[nodiscard]] double leaves(double time_s, double level_cm, int direction) const {
    const double step_s = frame_s_ / 4;
    double at_s = time_s;
    while (up(at_s) >= level_cm && at_s > samples_.front().time_s && at_s < samples_.back().time_s) {
      at_s += direction * step_s;
    }
    return at_s;
  }

 private:
  [[nodiscard]] double up(double time_s) const {
    const auto after = std::lower_bound(samples_.begin(), samples_.end(), time_s,
                                        [](const path::PathSample& s, double t) { return s.time_s < t; });
    if (after == samples_.end()) return samples_.back().up_cm;
    if (after == samples_.begin()) return after->up_cm;
    const auto before = std::prev(after);
    const double share = (time_s - before->time_s) / (after->time_s - before->time_s);
    return before->up_cm + share * (after->up_cm - before->up_cm);
  }

  const path::Path& path_;
  const std::vector<path::PathSample>& samples_;
  double frame_s_;
};

struct Doubt {
  double noise_cm = 0.0;    // of one smoothed height
  double reading_cm = 0.0;  // the same with what does not average out
  double frame_s = 0.0;
  double row_u_s = 0.0;  // for a row at the picture's edge
};

// Empty where the curve is flat, ends or is bridged: nothing then says when.
std::optional<double> crossing_u_s(const Curve& curve, double time_s, const Doubt& doubt) {
  const double slope = std::abs(curve.slope(time_s));
  if (!(slope > 0) || !curve.holds(time_s)) return std::nullopt;
  // The level rests on the foot, a reading like any other.
  const double noise_cm = std::sqrt(2.0) * doubt.reading_cm;
  return std::hypot(noise_cm, straight_rms * curve.bend(time_s) * doubt.frame_s * doubt.frame_s) / slope;
}

// What does not average out over frames is the same on both sides of the top and moves its middle by nothing. Empty
// where the top or one of its sides was not seen.
std::optional<double> peak_u_s(const Curve& curve, const raise::Rep& rep, double standing_cm, const Doubt& doubt) {
  const double level_cm = standing_cm + rep.height_cm - raise::top_of_rise * (rep.height_cm - rep.floor_cm);
  if (!curve.holds(rep.peak_s)) return std::nullopt;
  double sum = 0;
  for (const int direction : {-1, 1}) {
    const double at_s = curve.leaves(rep.peak_s, level_cm, direction);
    const double slope = std::abs(curve.slope(at_s));
    if (!(slope > 0) || !curve.holds(at_s)) return std::nullopt;
    const double straight_cm = straight_sd * curve.bend(at_s) * doubt.frame_s * doubt.frame_s;
    sum += (doubt.noise_cm * doubt.noise_cm + straight_cm * straight_cm) / (slope * slope);
  }
  return std::sqrt(sum) / 2;
}

// Time passes from one edge of the stored picture to the other; the frame's time is that of its middle.
double share_of_readout(const Measurement& m, double time_s) {
  const auto& samples = m.track.samples;
  const auto after = std::lower_bound(samples.begin(), samples.end(), time_s,
                                      [](const sticker::TrackSample& s, double t) { return s.time_s < t; });
  const Point px = after == samples.end() ? samples.back().px : after->px;
  const bool sideways = m.clip.rotation_deg % 180 != 0;
  const double along = sideways ? px.x / m.clip.width_px : px.y / m.clip.height_px;
  return std::abs(along - 0.5);
}

}  // namespace

void add_time_uncertainties(Measurement& m, const model::ViewPriors& priors) {
  if (!m.raises || m.raises->reps.empty() || m.path.samples.size() < 3 || !(m.clip.frame_rate_hz > 0)) return;
  raise::RepSet& set = *m.raises;
  const double frame_s = 1 / m.clip.frame_rate_hz;
  // Evenly anywhere between 0 and the most, and taken as 0: root mean square.
  const Doubt doubt{smooth_noise_cm(m), reading_u_cm(m, priors), frame_s, priors.readout_most_s / std::sqrt(3.0)};
  const Curve curve(m.path, frame_s);
  const auto with_row = [&](std::optional<double> u_s, double time_s) {
    if (u_s) u_s = std::hypot(*u_s, doubt.row_u_s * share_of_readout(m, time_s));
    return u_s;
  };
  for (raise::Rep& rep : set.reps) {
    rep.start_s_u = with_row(crossing_u_s(curve, rep.start_s, doubt), rep.start_s);
    rep.peak_s_u = with_row(peak_u_s(curve, rep, set.standing_cm, doubt), rep.peak_s);
    rep.end_s_u = with_row(crossing_u_s(curve, rep.end_s, doubt), rep.end_s);
    const double pointed_s = review::pointed_u_s(frame_s);
    if (rep.by_hand.start) rep.start_s_u = pointed_s;
    if (rep.by_hand.peak) rep.peak_s_u = pointed_s;
    if (rep.by_hand.end) rep.end_s_u = pointed_s;
  }
  const bool by_a_rep = set.set_end.why == raise::EndWhy::low_height || set.set_end.why == raise::EndWhy::pause;
  if (set.set_end.why == raise::EndWhy::by_hand) set.set_end.t_s_u = review::pointed_u_s(frame_s);
  const auto last = static_cast<std::size_t>(std::max(0, set.set_end.after_rep - 1));
  if (by_a_rep && last < set.reps.size()) set.set_end.t_s_u = set.reps[last].end_s_u;
}

}  // namespace risetrace::measure
