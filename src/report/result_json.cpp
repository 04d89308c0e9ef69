#include "report/result_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "report/json_number.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;  // keeps the promised order of fields

// Decimals kept: finer than any of these can be known, coarse enough to read.
constexpr int s_decimals = 6;
constexpr int cm_decimals = 4;
constexpr int px_decimals = 4;
constexpr int share_decimals = 4;
constexpr int relative_decimals = 6;
constexpr int deg_decimals = 3;
constexpr int ms_decimals = 3;
constexpr int rate_decimals = 4;
constexpr int rsi_decimals = 4;
constexpr int stiffness_decimals = 3;
constexpr int p_digits = 3;

// For chances, which may be tiny: so many digits, none of them lost to rounding.
Json significant(std::optional<double> value, int digits) {
  if (!value || !std::isfinite(*value)) return nullptr;
  if (*value == 0) return 0.0;
  const double unit = std::pow(10.0, digits - 1 - std::floor(std::log10(std::abs(*value))));
  return std::isfinite(unit) ? std::round(*value * unit) / unit : *value;
}

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

Json asked_lunge_json(const measure::Asked& asked) {
  const model::AngleRules& rules = asked.angles;
  const Json toe = asked.toe_px
                       ? Json::array({number(asked.toe_px->x, px_decimals), number(asked.toe_px->y, px_decimals)})
                       : Json(nullptr);
  return {{"side", stated(asked.side)},
          {"knee", stated(asked.knee)},
          {"mass_kg", number(asked.mass_kg, 3)},
          {"test", key_of(asked.test)},
          {"toe_px", toe},
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
          {"test", key_of(asked.test)}};
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

// For a rep whose knee was measured or not.
Json rep_json(const raise::Rep& rep, const ankle::RepKnee& knee) {
  return {{"n", rep.n},
          {"start_s", number(rep.start_s, s_decimals)},
          {"peak_s", number(rep.peak_s, s_decimals)},
          {"end_s", number(rep.end_s, s_decimals)},
          {"height_cm", number(rep.height_cm, cm_decimals)},
          {"height_cm_u", number(rep.height_cm_u, cm_decimals)},
          {"floor_cm", number(rep.floor_cm, cm_decimals)},
          {"of_reference", number(rep.of_reference, share_decimals)},
          {"low", rep.low},
          {"lowered", rep.lowered},
          {"on_beat", flag(rep.on_beat)},
          {"counted", rep.counted},
          {"period_s", number(rep.period_s, s_decimals)},
          {"start_s_u", number(rep.start_s_u, s_decimals)},
          {"peak_s_u", number(rep.peak_s_u, s_decimals)},
          {"end_s_u", number(rep.end_s_u, s_decimals)},
          {"height_cm_u_own", number(rep.height_cm_u_own, cm_decimals)},
          {"of_reference_u", number(rep.of_reference_u, relative_decimals)},
          {"knee_deg", number(knee.mean_deg, deg_decimals)},
          {"knee_least_deg", number(knee.least_deg, deg_decimals)},
          {"knee_greatest_deg", number(knee.greatest_deg, deg_decimals)},
          {"knee_held", flag(knee.held)}};
}

Json knee_json(const std::optional<ankle::KneeSet>& knee) {
  if (!knee || !knee->mean_deg) return nullptr;
  return {{"mean", number(knee->mean_deg, deg_decimals)},
          {"least", number(knee->least_deg, deg_decimals)},
          {"greatest", number(knee->greatest_deg, deg_decimals)},
          {"mean_u", number(knee->mean_deg_u, deg_decimals)}};
}

Json forward_json(std::optional<double> forward) {
  return forward ? Json(*forward > 0 ? "right" : "left") : Json(nullptr);
}

Json count_at_json(const raise::RepSet& set) {
  Json out = Json::object();
  for (const raise::CountAt& at : set.count_at) out[fixed(at.fraction, 2)] = at.count;
  return out;
}

Json set_end_json(const raise::SetEnd& end) {
  return {{"why", key_of(end.why)},     {"t_s", number(end.t_s, s_decimals)}, {"frame", end.frame},
          {"after_rep", end.after_rep}, {"last_full_rep", end.last_full_rep}, {"t_s_u", number(end.t_s_u, s_decimals)}};
}

Json heel_raise_json(const measure::Measurement& m) {
  if (!m.raises || m.asked.test != Test::heel_raise) return nullptr;
  const raise::RepSet& set = *m.raises;
  Json reps = Json::array();
  const ankle::KneeSet knee = m.knee.value_or(ankle::KneeSet{});
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    reps.push_back(rep_json(set.reps[i], i < knee.reps.size() ? knee.reps[i] : ankle::RepKnee{}));
  }
  const Json beat = {{"asked_bpm", number(m.asked.protocol.beat_bpm, 3)},
                     {"heard_bpm", number(m.beats.bpm, 3)},
                     {"rep_period_s", number(set.rep_period_s, s_decimals)},
                     {"on_beat_share", number(set.on_beat_share, share_decimals)}};
  return {{"reps", reps},
          {"count", set.count},
          {"count_at", count_at_json(set)},
          {"reference_height_cm", number(set.reference_height_cm, cm_decimals)},
          {"greatest_height_cm", number(set.greatest_height_cm, cm_decimals)},
          {"total_height_cm", number(set.total_height_cm, cm_decimals)},
          {"work_j", number(m.work_j, 2)},
          {"set_end", set_end_json(set.set_end)},
          {"beat", beat},
          {"knee_deg", knee_json(m.knee)},
          {"standing_cm", number(set.standing_cm, cm_decimals)},
          {"reference_height_cm_u", number(set.reference_height_cm_u, cm_decimals)},
          {"greatest_height_cm_u", number(set.greatest_height_cm_u, cm_decimals)},
          {"total_height_cm_u", number(set.total_height_cm_u, cm_decimals)},
          {"work_j_u", number(m.work_j_u, 2)},
          {"knee_drift_deg", number(knee.drift_deg, deg_decimals)},
          {"knee_drift_deg_u", number(knee.drift_deg_u, deg_decimals)},
          {"forward", forward_json(m.forward)}};
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

Json hop_json(const hop::Hop& hop) {
  return {{"n", hop.n},
          {"touchdown_s", number(hop.touchdown_s, s_decimals)},
          {"takeoff_s", number(hop.takeoff_s, s_decimals)},
          {"touchdown_frame", hop.touchdown_frame},
          {"takeoff_frame", hop.takeoff_frame ? Json(*hop.takeoff_frame) : Json(nullptr)},
          {"contact_ms", number(hop.contact_ms, ms_decimals)},
          {"contact_ms_u", number(hop.contact_ms_u, ms_decimals)},
          {"flight_ms", number(hop.flight_ms, ms_decimals)},
          {"flight_ms_u", number(hop.flight_ms_u, ms_decimals)},
          {"period_ms", number(hop.period_ms, ms_decimals)},
          {"height_cm", number(hop.height_cm, cm_decimals)},
          {"rsi", number(hop.rsi, rsi_decimals)},
          {"stiffness_kn_m", number(hop.stiffness_kn_m, stiffness_decimals)},
          {"counted", hop.counted},
          {"why_not", text(hop.why_not)}};
}

Json step_json(const hop::Step& step) {
  return {{"beat_bpm", number(step.beat_bpm, 3)},
          {"from_s", number(step.from_s, s_decimals)},
          {"to_s", number(step.to_s, s_decimals)},
          {"hops", step.hops},
          {"hop_rate_hz", number(step.hop_rate_hz, rate_decimals)},
          {"rate_error_pct", number(step.rate_error_pct, 3)},
          {"phase_lock", number(step.phase_lock, share_decimals)},
          {"contact_ms", number(step.contact_ms, ms_decimals)},
          {"kept", step.kept},
          {"phase_p", significant(step.phase_p, p_digits)},
          {"contact_ms_u", number(step.contact_ms_u, ms_decimals)},
          {"height_cm", number(step.height_cm, cm_decimals)},
          {"rsi", number(step.rsi, rsi_decimals)},
          {"rsi_u", number(step.rsi_u, rsi_decimals)},
          {"stiffness_kn_m", number(step.stiffness_kn_m, stiffness_decimals)}};
}

Json instant_json(const std::optional<hop::Instant>& instant) {
  if (!instant) return nullptr;
  return {{"t_s", number(instant->time_s, s_decimals)},
          {"t_s_u", number(instant->time_s_u, s_decimals)},
          {"frame", instant->frame},
          {"from", key_of(instant->witness)}};
}

Json contact_json(const hop::Contact& contact) {
  return {{"touchdown", instant_json(contact.touchdown)},
          {"takeoff", instant_json(contact.takeoff)},
          {"doubtful", contact.doubtful},
          {"why", text(contact.why)}};
}

Json hop_json(const measure::Measurement& m) {
  if (!m.hops || m.asked.test != Test::hop) return nullptr;
  const hop::HopSet& set = *m.hops;
  Json hops = Json::array();
  for (const hop::Hop& hop : set.hops) hops.push_back(hop_json(hop));
  Json steps = Json::array();
  for (const hop::Step& step : set.steps) steps.push_back(step_json(step));
  Json contacts = Json::array();
  for (const hop::Contact& contact : m.contacts.contacts) contacts.push_back(contact_json(contact));
  return {{"hops", hops},
          {"count", set.count},
          {"contact_ms", number(set.contact_ms, ms_decimals)},
          {"flight_ms", number(set.flight_ms, ms_decimals)},
          {"hop_rate_hz", number(set.hop_rate_hz, rate_decimals)},
          {"height_cm", number(set.height_cm, cm_decimals)},
          {"rsi", number(set.rsi, rsi_decimals)},
          {"stiffness_kn_m", number(set.stiffness_kn_m, stiffness_decimals)},
          {"steps", steps},
          {"lowest_kept_bpm", number(set.lowest_kept_bpm, 3)},
          {"contact_ms_u", number(set.contact_ms_u, ms_decimals)},
          {"rsi_u", number(set.rsi_u, rsi_decimals)},
          {"contact_from", text(set.contact_from)},
          {"beat", {{"asked_bpm", number(m.asked.beat_bpm, 3)}, {"heard_bpm", number(set.heard_bpm, 3)}}},
          {"sound_offset_ms", number(set.sound_offset_ms, ms_decimals)},
          {"sound_offset_ms_u", number(set.sound_offset_ms_u, ms_decimals)},
          {"contacts", contacts}};
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
                       {"hop", hop_json(measurement)},
                       {"notes", notes_json(measurement.notes)},
                       {"asked", asked_json(measurement.asked)},
                       {"lunge", lunge_json(measurement)},
                       {"leg_stickers", leg_stickers_json(measurement.leg)}};
  // A file name need not be UTF-8; JSON must be.
  return result.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace risetrace::report
