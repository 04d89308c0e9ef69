#include "report/result_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "report/decimals.h"
#include "report/hop_json.h"
#include "report/json_number.h"
#include "report/raise_json.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;  // keeps the promised order of fields

Json clip_json(const measure::Measurement& m) {
  const clip::ClipFacts& clip = m.clip;
  return {{"file", clip.file},
          {"sha256", text(m.clip_sha256)},
          {"width_px", clip.width_px},
          {"height_px", clip.height_px},
          {"rotation_deg", clip.rotation_deg},
          {"frames", clip.frames},
          {"duration_s", number(clip.duration_s, s_decimals)},
          {"frame_rate_hz", number(clip.frame_rate_hz, s_decimals)},
          {"frame_rate_from", key_of(clip.frame_rate_from)},
          {"timing_irregular", clip.timing_irregular},
          {"codec", clip.codec},
          {"mirrored", clip.mirrored},
          {"stretch", number(clip.stretch, s_decimals)},
          {"frames_missing", clip.frames_missing},
          {"steps_zero", clip.steps_zero},
          {"recorded_at", text(clip.recorded_at)}};
}

Json place_json(const std::optional<Point>& place) {
  if (!place) return nullptr;
  return Json::array({number(place->x, px_decimals), number(place->y, px_decimals)});
}

Json asked_lunge_json(const measure::Asked& asked) {
  const model::AngleRules& rules = asked.angles;
  return {{"side", stated(asked.side)},
          {"knee", stated(asked.knee)},
          {"mass_kg", number(asked.mass_kg, 3)},
          {"test", key_of(asked.test)},
          {"toe_px", place_json(asked.toe_px)},
          {"wall_x_px", number(asked.wall_x_px, px_decimals)},
          {"hold_least_s", number(rules.hold_least_s, s_decimals)},
          {"hold_within_deg", number(rules.hold_within_deg, 3)},
          {"landmark_u_cm", number(rules.landmark_u_cm, 3)}};
}

Json asked_json(const measure::Asked& asked) {
  if (asked.test == Test::hop) {
    return {{"side", stated(asked.side)},
            {"knee", stated(asked.knee)},
            {"mass_kg", number(asked.mass_kg, 3)},
            {"beat_bpm", number(asked.beat_bpm, 3)},
            {"test", key_of(asked.test)}};
  }
  if (asked.test == Test::lunge) return asked_lunge_json(asked);
  const model::RaiseProtocol& p = asked.protocol;
  return {{"side", stated(asked.side)},
          {"knee", stated(asked.knee)},
          {"mass_kg", number(asked.mass_kg, 3)},
          {"end_fraction", number(p.end_fraction, share_decimals)},
          {"end_after", p.end_after},
          {"reference_reps", p.reference_reps},
          {"beat_bpm", number(p.beat_bpm, 3)},
          {"least_rise_cm", number(p.least_rise_cm, cm_decimals)},
          {"least_rise_of_reference", number(p.least_rise_of_reference, share_decimals)},
          {"onset_of_rise", number(p.onset_of_rise, share_decimals)},
          {"not_lowered_of_reference", number(p.not_lowered_of_reference, share_decimals)},
          {"end_pause_s", number(p.end_pause_s, s_decimals)},
          {"on_beat_tolerance", number(p.on_beat_tolerance, share_decimals)},
          {"smooth_cutoff_hz", number(p.smooth_cutoff_hz, 3)},
          {"knee_straight_most_deg", number(p.knee_straight_most_deg, 3)},
          {"knee_bent_least_deg", number(p.knee_bent_least_deg, 3)},
          {"knee_bent_most_deg", number(p.knee_bent_most_deg, 3)},
          {"test", key_of(asked.test)},
          {"step_across_cm", number(p.step_across_cm, cm_decimals)},
          {"beat_stated", asked.beat_bpm.has_value()}};
}

// The names of a session's options (session.schema.json).
Json told_json(const measure::Told& told) {
  return {{"card", key_of(told.scale.card)},
          {"card_offset_cm", number(told.scale.card_offset_cm, cm_decimals)},
          {"distance_m", number(told.scale.distance_m, 3)},
          {"px_per_cm", number(told.scale.px_per_cm, px_decimals)},
          {"heel_px", place_json(told.heel_px)},
          {"forefoot_px", place_json(told.forefoot_px)},
          {"ankle_px", place_json(told.ankle_px)},
          {"knee_px", place_json(told.knee_px)},
          {"hip_px", place_json(told.hip_px)},
          {"capture_fps", number(told.capture_fps, 3)}};
}

Json parts_json(const std::vector<measure::ScalePart>& parts) {
  if (parts.empty()) return nullptr;
  Json out = Json::object();
  for (const measure::ScalePart& part : parts) out[key_of(part.from)] = number(part.relative_u, relative_decimals);
  return out;
}

Json scale_json(const measure::Measurement& m) {
  const scale::Scale& scale = m.scale;
  return {{"from", key_of(scale.from)},
          {"px_per_cm", number(scale.px_per_cm, px_decimals)},
          {"px_per_cm_u", number(scale.px_per_cm_u, px_decimals)},
          {"tilt_deg", number(scale.tilt_deg, 3)},
          {"fit_rms_px", number(scale.fit_rms_px, px_decimals)},
          {"distance_m", number(scale.distance_m, 3)},
          {"parts", parts_json(m.scale_parts)}};
}

Json sticker_json(const sticker::Track& track) {
  // A radius or a noise of nothing is one that was not estimated.
  const auto positive = [](double value) { return value > 0 ? std::optional(value) : std::nullopt; };
  return {{"found_by", key_of(track.found_by)},
          {"radius_px", number(positive(track.radius_px), px_decimals)},
          {"frames_seen", track.frames_seen},
          {"frames_bridged", track.frames_bridged},
          {"noise_px", number(positive(track.noise_px), px_decimals)}};
}

Json lunge_json(const measure::Measurement& m) {
  if (!m.lunge) return nullptr;
  const ankle::Lunge& lunge = *m.lunge;
  return {{"shank_deg", number(lunge.shank_deg, deg_decimals)},
          {"shank_deg_u", number(lunge.shank_deg_u, deg_decimals)},
          {"standing_shank_deg", number(lunge.standing_shank_deg, deg_decimals)},
          {"change_deg", number(lunge.change_deg, deg_decimals)},
          {"change_deg_u", number(lunge.change_deg_u, deg_decimals)},
          {"toe_to_wall_cm", number(lunge.toe_to_wall_cm, cm_decimals)},
          {"toe_to_wall_cm_u", number(lunge.toe_to_wall_cm_u, cm_decimals)},
          {"held", lunge.held},
          {"held_s", number(lunge.held_s(), s_decimals)},
          {"hold_from_s", number(lunge.hold_from_s, s_decimals)},
          {"hold_to_s", number(lunge.hold_to_s, s_decimals)},
          {"ankle_rise_cm", number(lunge.ankle_rise_cm, cm_decimals)},
          {"ankle_forward_cm", number(lunge.ankle_forward_cm, cm_decimals)},
          {"upright_from", m.angles && m.angles->upright_by_card ? "card" : "picture"},
          {"forward", forward_json(m.forward)}};
}

Json leg_stickers_json(const sticker::LegTracks& leg) {
  if (!leg.ankle && !leg.knee && !leg.hip) return nullptr;
  const auto one = [](const std::optional<sticker::Track>& track) {
    return track ? sticker_json(*track) : Json(nullptr);
  };
  return {{"ankle", one(leg.ankle)}, {"knee", one(leg.knee)}, {"hip", one(leg.hip)}};
}

// As they were given; null where there are none.
Json corrections_json(const review::Corrections& corrections) {
  if (corrections.empty()) return nullptr;
  Json out = Json::array();
  for (const review::Correction& one : corrections.list) out.push_back(Json::parse(one.as_given, nullptr, false));
  return out;
}

// What the program found by itself; null where nothing was corrected.
Json automatic_json(const measure::Measurement& m) {
  if (!m.automatic) return nullptr;
  const measure::Automatic& found = *m.automatic;
  if (found.hops) {
    Json out = brief_json(*found.hops);
    out["rules"] = {{"beat_bpm", number(found.asked.beat_bpm, 3)}};
    out["contacts"] = contacts_json(found.contacts);
    return out;
  }
  if (!found.raises) return nullptr;
  Json out = brief_json(*found.raises);
  out["rules"] = rules_json(found.asked.protocol, found.asked.beat_bpm.has_value());
  return out;
}

Json notes_json(const Notes& notes) {
  Json out = Json::array();
  for (const Note& note : notes) {
    out.push_back({{"code", note.code}, {"text", note.text}, {"t_s", number(note.t_s, s_decimals)}});
  }
  return out;
}

}  // namespace

std::string result_json(const measure::Measurement& measurement, const std::string& program_version) {
  const Json result = {{"schema", "risetrace/result/1"},
                       {"program", {{"name", "risetrace"}, {"version", program_version}}},
                       {"clip", clip_json(measurement)},
                       {"scale", scale_json(measurement)},
                       {"sticker", sticker_json(measurement.track)},
                       {"heel_raise", heel_raise_json(measurement)},
                       {"hop", hops_json(measurement)},
                       {"notes", notes_json(measurement.notes)},
                       {"asked", asked_json(measurement.asked)},
                       {"told", told_json(measurement.asked.told)},
                       {"lunge", lunge_json(measurement)},
                       {"leg_stickers", leg_stickers_json(measurement.leg)},
                       {"corrections", corrections_json(measurement.corrections)},
                       {"automatic", automatic_json(measurement)}};
  // A file name need not be UTF-8; JSON must be.
  return result.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace risetrace::report
