// A Measurement made by hand, for the writers' tests: a set filmed at 60 frames per second, the heights falling with
// fatigue until two reps in a row are low, one rep after that, a few frames bridged. Every number is made up here.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "measure/measurement.h"

namespace risetrace::test {

inline constexpr double sample_px_per_cm = 14.2;
inline constexpr double sample_standing_cm = -3.4;
inline constexpr double sample_first_rise_s = 1.5;

// Rep i of `all` (from 0): the last three are low, low, and one more after the set's end.
inline double sample_height_cm(int i, int all) {
  const double share = all > 1 ? static_cast<double>(i) / (all - 1) : 0.0;
  if (i == all - 3) return 7.10;
  if (i == all - 2) return 6.85;
  return 10.1 - 1.9 * share + 0.15 * std::sin(2.3 * i);
}

inline raise::Rep sample_rep(int i, int all, double start_s, double period_s) {
  raise::Rep rep;
  rep.n = i + 1;
  rep.start_s = start_s + 0.08;
  rep.peak_s = start_s + period_s / 2;
  rep.end_s = start_s + period_s - 0.05;
  rep.height_cm = sample_height_cm(i, all);
  rep.height_cm_u = 0.012 * rep.height_cm;
  rep.height_cm_u_own = 0.006;
  rep.of_reference_u = 0.0007;
  rep.start_s_u = 0.005;
  rep.peak_s_u = 0.003;
  rep.end_s_u = 0.004;
  rep.floor_cm = i == 5 ? 2.4 : 0.1 + 0.02 * i;
  rep.lowered = i != 5;
  return rep;
}

inline int sample_count(const std::vector<raise::Rep>& reps, double reference_cm, double fraction) {
  int count = 0;
  int low_in_a_row = 0;
  for (const raise::Rep& rep : reps) {
    const bool low = rep.height_cm < fraction * reference_cm;
    low_in_a_row = low ? low_in_a_row + 1 : 0;
    if (low_in_a_row == 2) break;
    if (!low) ++count;
  }
  return count;
}

inline void judge(raise::RepSet& set, int reference_reps) {
  double reference = 0;
  for (int i = 0; i < reference_reps; ++i)
    reference += set.reps[static_cast<std::size_t>(i)].height_cm / reference_reps;
  const int all = static_cast<int>(set.reps.size());
  set.reference_height_cm = reference;
  double greatest = 0;
  double total = 0;
  for (raise::Rep& rep : set.reps) {
    rep.of_reference = rep.height_cm / reference;
    rep.low = rep.height_cm < 0.75 * reference;
    rep.counted = rep.n <= all - 1 && !rep.low;
    if (rep.n == all) rep.counted = false;
    if (rep.counted) total += rep.height_cm;
    if (rep.counted) ++set.count;
    greatest = std::max(greatest, rep.height_cm);
    if (rep.n == 1) continue;
    rep.period_s = rep.peak_s - set.reps[static_cast<std::size_t>(rep.n - 2)].peak_s;
    rep.on_beat = std::abs(*rep.period_s - 2.0) <= 0.3;
  }
  set.greatest_height_cm = greatest;
  set.total_height_cm = total;
  for (const double fraction : {0.5, 0.75, 0.9}) {
    set.count_at.push_back({fraction, sample_count(set.reps, reference, fraction)});
  }
  set.standing_cm = sample_standing_cm;
  set.rep_period_s = 2.03;
  set.on_beat_share = 0.875;
}

inline double sample_height_at(const raise::RepSet& set, double time_s) {
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    const raise::Rep& rep = set.reps[i];
    if (time_s < rep.start_s - 0.08 || time_s > rep.end_s + 0.05) continue;
    const double phase = (time_s - (rep.start_s - 0.08)) / (rep.end_s - rep.start_s + 0.13);
    const double shape = std::pow(0.5 - 0.5 * std::cos(2 * std::numbers::pi * phase), 1.3);
    const double next_floor = i + 1 < set.reps.size() ? set.reps[i + 1].floor_cm : 0.0;
    const double floor = phase < 0.5 ? rep.floor_cm : next_floor;
    return floor + (rep.height_cm - floor) * shape;
  }
  return 0.0;
}

inline bool sample_bridged(std::int64_t frame) { return (frame >= 400 && frame < 412) || frame == 900; }

inline void add_samples(measure::Measurement& m, double duration_s) {
  const auto frames = static_cast<std::int64_t>(std::floor(duration_s * 60));
  for (std::int64_t frame = 0; frame < frames; ++frame) {
    const double time_s = static_cast<double>(frame) / 60.0;
    const double noise = 0.01 * std::sin(12.9898 * static_cast<double>(frame));
    const double height = sample_height_at(*m.raises, time_s);
    const double up = sample_standing_cm + height;
    const double across = 2.1 + 0.08 * height;
    const bool seen = !sample_bridged(frame);
    m.path.samples.push_back({frame, time_s, up, up + noise, across, seen});
    const Point px{540 + sample_px_per_cm * across, 960 - sample_px_per_cm * (up + noise)};
    m.track.samples.push_back({frame, time_s, px, seen, false, seen ? 0.94 : 0.0});
    if (seen) ++m.track.frames_seen;
    if (!seen) ++m.track.frames_bridged;
  }
  m.clip.frames = frames;
  m.clip.duration_s = static_cast<double>(frames) / 60.0;
}

inline model::RaiseProtocol sample_protocol() {
  model::RaiseProtocol protocol;
  protocol.end_fraction = 0.75;
  protocol.end_after = 2;
  protocol.reference_reps = 3;
  protocol.beat_bpm = 60;
  protocol.least_rise_cm = 1.5;
  protocol.least_rise_of_reference = 0.25;
  protocol.onset_of_rise = 0.03;
  protocol.not_lowered_of_reference = 0.20;
  protocol.step_across_cm = 12;
  protocol.end_pause_s = 5;
  protocol.on_beat_tolerance = 0.15;
  protocol.smooth_cutoff_hz = 10;
  return protocol;
}

inline scale::Scale sample_scale() {
  scale::Scale scale;
  scale.from = scale::ScaleFrom::tags;
  scale.cm_from_px = math::Homography{
      {1 / sample_px_per_cm, 0, -540 / sample_px_per_cm, 0, -1 / sample_px_per_cm, 960 / sample_px_per_cm, 0, 0, 1}};
  scale.px_per_cm = sample_px_per_cm;
  scale.px_per_cm_u = 0.031;
  scale.tilt_deg = 2.6;
  scale.fit_rms_px = 0.12;
  scale.distance_m = 2.1;
  return scale;
}

// At least 6 reps.
inline measure::Measurement sample_measurement(int reps = 12) {
  measure::Measurement m;
  m.clip.file = "left-straight.mp4";
  m.clip.codec = "h264";
  m.clip.width_px = 1080;
  m.clip.height_px = 1920;
  m.clip.rotation_deg = 90;
  m.clip.frame_rate_hz = 60;
  m.clip_sha256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";
  m.asked = {Side::left, Knee::straight, 70.0, sample_protocol()};
  m.scale = sample_scale();
  m.track.radius_px = 14.2;
  m.track.noise_px = 0.06;
  m.raises.emplace();
  double start_s = sample_first_rise_s;
  for (int i = 0; i < reps; ++i) {
    const double period_s = i == 7 ? 2.6 : 2.0 + 0.05 * std::sin(1.7 * i);
    m.raises->reps.push_back(sample_rep(i, reps, start_s, period_s));
    start_s += period_s;
  }
  judge(*m.raises, m.asked.protocol.reference_reps);
  const raise::Rep& decider = m.raises->reps[static_cast<std::size_t>(reps - 2)];
  m.raises->set_end = {.why = raise::EndWhy::low_height,
                       .t_s = decider.end_s,
                       .frame = std::lround(decider.end_s * 60),
                       .after_rep = reps - 1,
                       .last_full_rep = reps - 3,
                       .t_s_u = {}};
  m.raises->set_end.t_s_u = decider.end_s_u;
  m.raises->reference_height_cm_u = 0.012 * *m.raises->reference_height_cm;
  m.raises->greatest_height_cm_u = 0.012 * *m.raises->greatest_height_cm;
  m.raises->total_height_cm_u = 0.012 * *m.raises->total_height_cm;
  m.scale_parts = {{scale::DoubtFrom::fit, 0.001}, {scale::DoubtFrom::plane_offset, 0.01196}};
  add_samples(m, start_s + 1.5);
  m.path.noise_cm = 0.0044;
  m.work_j = *m.asked.mass_kg * 9.80665 * *m.raises->total_height_cm / 100;
  m.work_j_u = 0.012 * *m.work_j;
  m.notes.push_back({"frames-bridged", "The sticker was hidden for 0.2 s; the height there is bridged.", 6.67});
  m.notes.push_back({"not-lowered", "Before rep 6 the heel was still 2.4 cm up.", m.raises->reps[5].start_s});
  return m;
}

// The same clip with nothing to tell centimetres by.
inline measure::Measurement sample_without_scale() {
  measure::Measurement m = sample_measurement();
  m.scale = {};
  m.path = {};
  m.raises.reset();
  m.work_j.reset();
  m.notes = {{"no-scale", "No card was used: positions are in pixels only.", std::nullopt}};
  return m;
}

}  // namespace risetrace::test
