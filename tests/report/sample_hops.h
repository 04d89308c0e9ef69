// Hop measurements made by hand, for the writers' tests: a ladder of beats filmed from the side, the sole followed, the
// beat heard. Every number is made up here, and the fields that follow from others are worked out from them.
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "measure/measurement.h"
#include "report/sample_measurement.h"

namespace risetrace::test {

struct HopsAsked {
  int hops = 30;
  int steps = 2;  // of the beat, 150 per minute and down by 10
  double frame_rate_hz = 240.0;
  bool scale = true;
  bool times = true;  // false: only the heel was seen
  bool strips = true;
  int width_px = 1280;
  int height_px = 720;
};

inline constexpr double hops_px_per_cm = 8.0;
inline constexpr double hops_first_touchdown_s = 1.1137;
inline constexpr double hops_floor_row_px = 560.0;

inline double hop_bpm(const HopsAsked& asked, int i) {
  const int each = std::max(1, asked.hops / std::max(asked.steps, 1));
  return 150.0 - 10.0 * std::min(i / each, std::max(asked.steps, 1) - 1);
}

inline double contact_s_of(int i, double bpm) {
  return 0.236 + 0.05 * (60 / bpm - 0.4) + 0.004 * std::sin(2.1 * i) + (i < 3 ? 0.02 : 0.0);
}

// Contacts: standing until the first take-off, then a hop each. The last hop's take-off lies after the clip.
inline void add_contacts(measure::Measurement& m, const HopsAsked& asked) {
  const auto instant = [&](double time_s) {
    const auto frame = static_cast<std::int64_t>(std::ceil(time_s * asked.frame_rate_hz));
    return hop::Instant{time_s, 0.0021, frame, hop::Witness::sole};
  };
  m.contacts.common_u_s = 0.0015;
  m.contacts.times_known = asked.times;
  m.contacts.contacts.push_back({std::nullopt, instant(hops_first_touchdown_s - 0.16), false, ""});
  double touchdown_s = hops_first_touchdown_s;
  for (int i = 0; i < asked.hops; ++i) {
    const double bpm = hop_bpm(asked, i);
    hop::Contact contact{instant(touchdown_s), instant(touchdown_s + contact_s_of(i, bpm)), false, ""};
    if (i == 13) contact.doubtful = true;
    if (i == 13) contact.why = "The foot touched twice.";
    if (i + 1 == asked.hops) contact.takeoff.reset();
    m.contacts.contacts.push_back(contact);
    touchdown_s += 60 / bpm + 0.002 * std::sin(1.3 * i);
  }
}

inline hop::Hop hop_from(const measure::Measurement& m, std::size_t i, bool times) {
  const hop::Contact& before = m.contacts.contacts[i];
  const hop::Contact& contact = m.contacts.contacts[i + 1];
  hop::Hop hop;
  hop.n = static_cast<int>(i) + 1;
  hop.touchdown_s = contact.touchdown->time_s;
  hop.touchdown_frame = contact.touchdown->frame;
  if (i + 2 < m.contacts.contacts.size()) {
    hop.period_ms = 1000 * (m.contacts.contacts[i + 2].touchdown->time_s - hop.touchdown_s);
  }
  if (!times) hop.why_not = "no time on the ground is known";
  if (!times) return hop;
  hop.flight_ms = 1000 * (hop.touchdown_s - before.takeoff->time_s);
  hop.flight_ms_u = 3.3;
  hop.height_cm = 100 * 9.80665 * *hop.flight_ms * *hop.flight_ms * 1e-6 / 8;
  if (contact.takeoff) {
    hop.takeoff_s = contact.takeoff->time_s;
    hop.takeoff_frame = contact.takeoff->frame;
    hop.contact_ms = 1000 * (*hop.takeoff_s - hop.touchdown_s);
    hop.contact_ms_u = 3.3;
    hop.rsi = *hop.height_cm / 100 / (*hop.contact_ms / 1000);
    if (m.asked.mass_kg) hop.stiffness_kn_m = 17.0 + 0.3 * std::sin(1.9 * static_cast<double>(i));
  }
  hop.why_not = i < 3              ? "one of the first 3"
                : contact.doubtful ? "a double touch"
                : !hop.contact_ms  ? "cut off by the clip’s end"
                                   : "";
  hop.counted = hop.why_not.empty();
  return hop;
}

inline std::optional<double> median_of(const std::vector<hop::Hop>& hops, std::optional<double> hop::Hop::*field) {
  std::vector<double> values;
  for (const hop::Hop& hop : hops) {
    if (hop.counted && hop.*field) values.push_back(*(hop.*field));
  }
  if (values.empty()) return std::nullopt;
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

inline void add_steps(measure::Measurement& m, const HopsAsked& asked) {
  hop::HopSet& set = *m.hops;
  for (int step = 0; step < asked.steps; ++step) {
    hop::Step out;
    out.beat_bpm = 150.0 - 10 * step;
    std::vector<double> contacts;
    for (const hop::Hop& hop : set.hops) {
      if (hop_bpm(asked, hop.n - 1) != out.beat_bpm) continue;
      if (out.hops++ == 0) out.from_s = hop.touchdown_s - 0.5 * 60 / out.beat_bpm;
      out.to_s = hop.touchdown_s + 0.5 * 60 / out.beat_bpm;
      if (hop.contact_ms) contacts.push_back(*hop.contact_ms);
    }
    if (out.hops == 0) continue;
    const bool followed = step < 4;
    out.hop_rate_hz = out.beat_bpm / 60 * (followed ? 1.003 : 1.061);
    out.rate_error_pct = followed ? 0.3 : 6.1;
    out.phase_lock = followed ? 0.97 - 0.02 * step : 0.31;
    out.phase_p = followed ? 3e-7 : 0.42;
    if (!contacts.empty()) out.contact_ms = contacts[contacts.size() / 2];
    out.kept = followed && out.hops >= 6;
    if (out.kept) set.lowest_kept_bpm = out.beat_bpm;
    set.steps.push_back(out);
    m.beats.steps.push_back({out.beat_bpm, out.from_s + 0.02, out.from_s, out.to_s, out.hops, out.hops});
  }
  for (const hop::Hop& hop : set.hops) {
    if (asked.steps > 0) m.beats.clicks.push_back({hop.touchdown_s + 0.031, 0.001, 22.0, false});
  }
  m.beats.sound_there = asked.steps > 0;
  if (m.beats.steps.size() == 1) m.beats.bpm = set.heard_bpm = m.beats.steps[0].bpm;
}

// Up from the floor by a fall's parabola in flight; a little noise on the ground.
inline double clearance_px_at(const hop::Contacts& contacts, double time_s) {
  for (std::size_t i = 0; i + 1 < contacts.contacts.size(); ++i) {
    const double from_s = contacts.contacts[i].takeoff->time_s;
    const double to_s = contacts.contacts[i + 1].touchdown->time_s;
    if (time_s < from_s || time_s > to_s) continue;
    return 100 * 9.80665 / 2 * (time_s - from_s) * (to_s - time_s) * hops_px_per_cm;
  }
  return 0.0;
}

inline void add_hop_samples(measure::Measurement& m, const HopsAsked& asked, double duration_s) {
  m.clip.frames = static_cast<std::int64_t>(std::floor(duration_s * asked.frame_rate_hz));
  m.clip.duration_s = static_cast<double>(m.clip.frames) / asked.frame_rate_hz;
  m.clearance.floor_row_px = hops_floor_row_px;
  m.forefoot.emplace();
  m.forefoot->radius_px = 7;
  for (std::int64_t frame = 0; frame < m.clip.frames; ++frame) {
    const double time_s = static_cast<double>(frame) / asked.frame_rate_hz;
    const double up = clearance_px_at(m.contacts, time_s);
    const double noise = 0.15 * std::sin(12.9898 * static_cast<double>(frame));
    const bool seen = frame % 97 != 5;
    const double middle = 0.46 * asked.width_px;
    const Point heel{middle, hops_floor_row_px - 45 - 1.15 * up};
    const Point forefoot{middle + 150, hops_floor_row_px - 22 - up};
    m.track.samples.push_back({frame, time_s, heel, seen, false, seen ? 0.9 : 0.0});
    m.forefoot->samples.push_back({frame, time_s, forefoot, true, false, 0.9});
    if (seen) ++m.track.frames_seen;
    if (!seen) ++m.track.frames_bridged;
    ++m.forefoot->frames_seen;
    if (asked.times) m.clearance.samples.push_back({frame, time_s, up + noise, 0.15, frame % 211 != 17});
    if (!asked.scale) continue;
    const double up_cm = (360 - heel.y) / hops_px_per_cm;
    m.path.samples.push_back({frame, time_s, up_cm, up_cm, 0.0, seen});
  }
  if (!asked.times) m.forefoot.reset();
}

// A shoe's grey outline over a floor, to see the strips by.
inline measure::EventStrip sample_strip(const hop::Instant& event, int hop, int width, int height, bool landing) {
  measure::EventStrip strip;
  strip.event = 2;
  strip.hop = hop;
  strip.box = {440, static_cast<int>(hops_floor_row_px) - height + 30, width, height};
  for (int i = -2; i <= 2; ++i) {
    measure::EventFrame frame{event.frame + i, event.time_s + i / 240.0, {width, height, {}}};
    frame.picture.grey.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    const int up = std::max(0, 5 * (landing ? -i : i + 1));
    for (int y = 0; y < height; ++y) {
      for (int x = 0; x < width; ++x) {
        const bool shoe = x > 0.15 * width && x < 0.85 * width && y > 0.3 * height - up && y < height - 30 - up;
        const int level = y > height - 30 ? 120 : 205;
        frame.picture
            .grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)] =
            static_cast<std::uint8_t>(shoe ? 60 : level);
      }
    }
    strip.frames.push_back(frame);
  }
  return strip;
}

inline measure::Measurement sample_hops(const HopsAsked& asked = {}) {
  measure::Measurement m;
  m.clip.file = "left-hops.mp4";
  m.clip.codec = "h264";
  m.clip.width_px = asked.width_px;
  m.clip.height_px = asked.height_px;
  m.clip.frame_rate_hz = asked.frame_rate_hz;
  m.clip_sha256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";
  m.asked.side = Side::left;
  m.asked.knee = Knee::straight;
  m.asked.mass_kg = 70.0;
  m.asked.test = risetrace::Test::hop;
  m.asked.beat_bpm = 150.0;
  if (asked.scale) m.scale = sample_scale();
  if (asked.scale) m.scale.px_per_cm = hops_px_per_cm;
  m.track.radius_px = 8.1;
  m.track.noise_px = 0.07;
  add_contacts(m, asked);
  m.hops.emplace();
  for (int i = 0; i < asked.hops; ++i) m.hops->hops.push_back(hop_from(m, static_cast<std::size_t>(i), asked.times));
  hop::HopSet& set = *m.hops;
  set.count =
      static_cast<int>(std::count_if(set.hops.begin(), set.hops.end(), [](const auto& h) { return h.counted; }));
  set.contact_ms = median_of(set.hops, &hop::Hop::contact_ms);
  if (set.contact_ms) set.contact_ms_u = 2.2;
  set.flight_ms = median_of(set.hops, &hop::Hop::flight_ms);
  set.height_cm = median_of(set.hops, &hop::Hop::height_cm);
  set.rsi = median_of(set.hops, &hop::Hop::rsi);
  set.stiffness_kn_m = median_of(set.hops, &hop::Hop::stiffness_kn_m);
  if (const auto period_ms = median_of(set.hops, &hop::Hop::period_ms)) set.hop_rate_hz = 1000 / *period_ms;
  if (asked.times) set.contact_from = "sole";
  add_steps(m, asked);
  if (!m.beats.clicks.empty()) set.sound_offset_ms = 31.0;
  if (!m.beats.clicks.empty()) set.sound_offset_ms_u = 1.2;
  add_hop_samples(m, asked, set.hops.empty() ? 3.0 : set.hops.back().touchdown_s + 0.12);
  if (asked.strips && asked.times && asked.hops > 4) {
    m.touchdown_strip = sample_strip(*m.contacts.contacts[5].touchdown, 5, 260, 130, true);
    m.takeoff_strip = sample_strip(*m.contacts.contacts[5].takeoff, 5, 260, 130, false);
  }
  if (asked.hops > 13) m.notes.push_back({"double-touch", "The foot touched twice.", set.hops[13].touchdown_s});
  if (!asked.times) {
    m.notes.push_back({"no-contact-times",
                       "Only the heel was seen, so no time on the ground is given: put a sticker on the forefoot, or "
                       "film with the shoe’s sole in view.",
                       std::nullopt});
  }
  return m;
}

}  // namespace risetrace::test
