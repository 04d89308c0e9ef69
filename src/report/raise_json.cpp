#include "report/raise_json.h"

#include "report/decimals.h"
#include "report/json_number.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

Json by_hand_json(const raise::ByHand& by_hand) {
  if (!by_hand.any()) return nullptr;
  return by_hand.put_in ? "put-in" : "moved";
}

Json knee_json(const std::optional<ankle::KneeSet>& knee) {
  if (!knee || !knee->mean_deg) return nullptr;
  return {{"mean", number(knee->mean_deg, deg_decimals)},
          {"least", number(knee->least_deg, deg_decimals)},
          {"greatest", number(knee->greatest_deg, deg_decimals)},
          {"mean_u", number(knee->mean_deg_u, deg_decimals)}};
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

}  // namespace

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
          {"knee_held", flag(knee.held)},
          {"by_hand", by_hand_json(rep.by_hand)},
          {"address_s", number(rep.by_hand.address_s.value_or(rep.peak_s), s_decimals)}};
}

Json forward_json(std::optional<double> forward) {
  return forward ? Json(*forward > 0 ? "right" : "left") : Json(nullptr);
}

Json counted_json(const raise::RepSet& set) {
  return {{"count", set.count},
          {"count_at", count_at_json(set)},
          {"reference_height_cm", number(set.reference_height_cm, cm_decimals)},
          {"greatest_height_cm", number(set.greatest_height_cm, cm_decimals)},
          {"total_height_cm", number(set.total_height_cm, cm_decimals)},
          {"set_end", set_end_json(set.set_end)}};
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

Json brief_json(const raise::RepSet& set) {
  Json reps = Json::array();
  for (const raise::Rep& rep : set.reps) {
    reps.push_back({{"n", rep.n},
                    {"start_s", number(rep.start_s, s_decimals)},
                    {"peak_s", number(rep.peak_s, s_decimals)},
                    {"end_s", number(rep.end_s, s_decimals)},
                    {"height_cm", number(rep.height_cm, cm_decimals)},
                    {"low", rep.low},
                    {"counted", rep.counted}});
  }
  Json out = counted_json(set);
  out["reps"] = reps;
  return out;
}

Json rules_json(const model::RaiseProtocol& p, bool beat_stated) {
  return {{"end_fraction", number(p.end_fraction, share_decimals)},
          {"end_after", p.end_after},
          {"reference_reps", p.reference_reps},
          {"beat_bpm", number(p.beat_bpm, 3)},
          {"beat_stated", beat_stated}};
}

}  // namespace risetrace::report
