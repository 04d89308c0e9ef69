#include "report/hop_json.h"

#include <cmath>

#include "report/decimals.h"
#include "report/json_number.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

// For chances, which may be tiny: so many digits, none of them lost to rounding.
Json significant(std::optional<double> value, int digits) {
  if (!value || !std::isfinite(*value)) return nullptr;
  if (*value == 0) return 0.0;
  const double unit = std::pow(10.0, digits - 1 - std::floor(std::log10(std::abs(*value))));
  return std::isfinite(unit) ? std::round(*value * unit) / unit : *value;
}

Json by_hand_json(hop::HandWork by_hand) {
  switch (by_hand) {
    case hop::HandWork::moved:
      return "moved";
    case hop::HandWork::put_in:
      return "put-in";
    case hop::HandWork::taken_out:
      return "taken-out";
    case hop::HandWork::none:
      break;
  }
  return nullptr;
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
          {"why_not", text(hop.why_not)},
          {"by_hand", by_hand_json(hop.by_hand)},
          {"address_frame", hop.address_frame.value_or(hop.touchdown_frame)}};
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
  return {{"t_s", exact(instant->time_s)},
          {"t_s_u", exact(instant->time_s_u)},
          {"frame", instant->frame},
          {"from", key_of(instant->witness)},
          {"by_hand", instant->by_hand}};
}

Json contact_json(const hop::Contact& contact) {
  return {{"touchdown", instant_json(contact.touchdown)},
          {"takeoff", instant_json(contact.takeoff)},
          {"doubtful", contact.doubtful},
          {"why", text(contact.why)}};
}

// What a recount needs and nobody reads: with every digit, so that it counts the same.
Json recount_part(const measure::Measurement& m) {
  Json steps = Json::array();
  for (const beat::BeatStep& step : m.beats.steps) {
    steps.push_back({{"bpm", exact(step.bpm)},
                     {"first_s", exact(step.first_s)},
                     {"from_s", exact(step.from_s)},
                     {"to_s", exact(step.to_s)},
                     {"beats", step.beats},
                     {"heard", step.heard}});
  }
  Json thuds = Json::array();
  for (const beat::Thud& thud : m.beats.thuds) {
    thuds.push_back({{"t_s", exact(thud.time_s)}, {"t_s_u", exact(thud.time_s_u)}});
  }
  return {{"common_u_s", exact(m.contacts.common_u_s)},
          {"times_known", m.contacts.times_known},
          {"clock_trusted", m.clock_trusted},
          {"sound_there", m.beats.sound_there},
          {"clip_end_s", exact(m.clip.duration_s)},
          {"steps", steps},
          {"thuds", thuds}};
}

}  // namespace

Json contacts_json(const hop::Contacts& contacts) {
  Json out = Json::array();
  for (const hop::Contact& contact : contacts.contacts) out.push_back(contact_json(contact));
  return out;
}

Json hop_set_json(const hop::HopSet& set, std::optional<double> asked_bpm) {
  Json hops = Json::array();
  for (const hop::Hop& hop : set.hops) hops.push_back(hop_json(hop));
  Json steps = Json::array();
  for (const hop::Step& step : set.steps) steps.push_back(step_json(step));
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
          {"beat", {{"asked_bpm", number(asked_bpm, 3)}, {"heard_bpm", number(set.heard_bpm, 3)}}},
          {"sound_offset_ms", number(set.sound_offset_ms, ms_decimals)},
          {"sound_offset_ms_u", number(set.sound_offset_ms_u, ms_decimals)}};
}

Json hops_json(const measure::Measurement& m) {
  if (!m.hops || m.asked.test != Test::hop) return nullptr;
  Json out = hop_set_json(*m.hops, m.asked.beat_bpm);
  out["contacts"] = contacts_json(m.contacts);
  out["recount"] = recount_part(m);
  return out;
}

Json brief_json(const hop::HopSet& set) {
  return {{"count", set.count},
          {"contact_ms", number(set.contact_ms, ms_decimals)},
          {"flight_ms", number(set.flight_ms, ms_decimals)},
          {"hop_rate_hz", number(set.hop_rate_hz, rate_decimals)},
          {"height_cm", number(set.height_cm, cm_decimals)},
          {"rsi", number(set.rsi, rsi_decimals)},
          {"stiffness_kn_m", number(set.stiffness_kn_m, stiffness_decimals)},
          {"lowest_kept_bpm", number(set.lowest_kept_bpm, 3)}};
}

}  // namespace risetrace::report
