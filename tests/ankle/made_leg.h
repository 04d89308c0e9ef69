// A leg drawn by hand on a plane: places for the angles wanted, by trigonometry alone.
#pragma once

#include <cmath>
#include <numbers>

#include "ankle/leg_angles.h"
#include "model/angle_rules.h"
#include "model/card.h"
#include "scale/scale.h"
#include "sticker/leg_tracks.h"

namespace risetrace::test {

inline constexpr double rad_per_deg = std::numbers::pi / 180;
inline constexpr double made_px_per_cm = 8.0;

struct MadeLeg {
  double shank_deg = 0.0;
  double knee_deg = 0.0;
  double forward = 1.0;
  Point ankle_cm{4, 12};  // x right, y up, from the picture's lower left
};

// 40 cm of shank and 41 cm of thigh, upright pixels of a picture 1000 high.
inline ankle::LegPlaces places_of(const MadeLeg& leg, double px_per_cm = made_px_per_cm) {
  const auto px = [&](Point cm) { return Point{500 + px_per_cm * cm.x, 990 - px_per_cm * cm.y}; };
  const auto along = [&](Point from, double length, double lean_deg) {
    return Point{from.x + leg.forward * length * std::sin(lean_deg * rad_per_deg),
                 from.y + length * std::cos(lean_deg * rad_per_deg)};
  };
  const Point knee = along(leg.ankle_cm, 40, leg.shank_deg);
  const Point hip = along(knee, 41, leg.shank_deg - leg.knee_deg);
  return {px(leg.ankle_cm), px(knee), px(hip)};
}

inline scale::Scale made_scale(double px_per_cm = made_px_per_cm, double roll_deg = 0.0) {
  scale::Scale scale;
  scale.from = scale::ScaleFrom::tags;
  const double c = std::cos(roll_deg * rad_per_deg) / px_per_cm;
  const double s = std::sin(roll_deg * rad_per_deg) / px_per_cm;
  scale.cm_from_px = math::Homography{{c, s, -500 * c - 990 * s, s, -c, -500 * s + 990 * c, 0, 0, 1}};
  scale.px_per_cm = px_per_cm;
  scale.distance_m = 3.0;
  scale::ScaleDoubt roll;  // as of a card that stands askew by half a degree
  roll.from = scale::DoubtFrom::card_stance;
  const double c2 = std::cos((roll_deg + 0.5) * rad_per_deg) / px_per_cm;
  const double s2 = std::sin((roll_deg + 0.5) * rad_per_deg) / px_per_cm;
  roll.cm_from_px = math::Homography{{c2, s2, -500 * c2 - 990 * s2, s2, -c2, -500 * s2 + 990 * c2, 0, 0, 1}};
  scale.doubts = {roll};
  return scale;
}

inline model::AngleRules made_rules() {
  model::AngleRules rules;
  rules.landmark_u_cm = 1.0;
  rules.leg_depth_u_cm = 3.0;
  rules.picture_level_u_deg = 2.0;
  rules.usual_shank_cm = 42;
  rules.stiff_within = 0.08;
  rules.least_seen_share = 0.8;
  rules.least_drift_reps = 4;
  rules.lunge_least_deg = 8;
  rules.hold_least_s = 0.5;
  rules.hold_within_deg = 1;
  rules.hidden_most_s = 0.3;
  rules.ankle_rise_cm = 1;
  rules.foot_moved_cm = 2;
  rules.hand_mark_u_cm = 0.3;
  return rules;
}

inline model::Cards made_cards() {
  model::Cards cards;
  cards.usual_field_of_view = 1.25;
  cards.view.yaw_u_deg = 4;
  cards.view.pitch_u_deg = 4;
  cards.view.localising_u_px = 0.035;
  return cards;
}

// `leg_at(t)` in frames of 1/30 s; where `seen_at(t)` is false the knee's sticker was out of sight.
template <typename LegAt, typename SeenAt>
sticker::LegTracks made_tracks(double length_s, const LegAt& leg_at, const SeenAt& seen_at, bool hip = true) {
  sticker::LegTracks tracks{sticker::Track{}, sticker::Track{}, {}};
  if (hip) tracks.hip.emplace();
  for (std::int64_t frame = 0; frame < static_cast<std::int64_t>(length_s * 30); ++frame) {
    const double time_s = static_cast<double>(frame) / 30;
    const ankle::LegPlaces places = places_of(leg_at(time_s));
    tracks.ankle->samples.push_back({frame, time_s, places.ankle_px, true, false, 1.0});
    tracks.knee->samples.push_back({frame, time_s, places.knee_px, seen_at(time_s), false, 1.0});
    if (hip) tracks.hip->samples.push_back({frame, time_s, *places.hip_px, true, false, 1.0});
  }
  return tracks;
}

}  // namespace risetrace::test
