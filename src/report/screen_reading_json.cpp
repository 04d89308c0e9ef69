#include <nlohmann/json.hpp>

#include "report/json_number.h"
#include "report/screen_keys.h"
#include "report/screen_parts.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

Json value_json(const visit::Value& value) {
  return {{"value", exact(value.value)}, {"u", exact(value.u)}, {"shared_relative_u", exact(value.shared_relative_u)}};
}

Json value_json(const std::optional<visit::Value>& value) { return value ? value_json(*value) : Json(nullptr); }

Json beyond_json(visit::Beyond beyond) {
  return beyond == visit::Beyond::not_known ? Json(nullptr) : Json(beyond == visit::Beyond::yes);
}

Json readings_json(const visit::Readings& readings) {
  return {{"measuring", beyond_json(readings.measuring)},
          {"noise_optimistic", beyond_json(readings.noise_optimistic)},
          {"noise_cautious", beyond_json(readings.noise_cautious)},
          {"cut_off", beyond_json(readings.cut_off)}};
}

Json difference_json(const std::optional<visit::Difference>& difference) {
  if (!difference) return nullptr;
  return {{"difference", exact(difference->difference)},
          {"difference_u", exact(difference->difference_u)},
          {"index_pct", exact(difference->index_pct)},
          {"index_pct_u", exact(difference->index_pct_u)},
          {"beyond", readings_json(difference->beyond)},
          {"noise_optimistic", exact(difference->noise_optimistic)},
          {"noise_cautious", exact(difference->noise_cautious)},
          {"cut_off", exact(difference->cut_off)},
          {"cut_off_kind", difference->cut_off ? Json(key_of(difference->cut_off_kind)) : Json(nullptr)}};
}

Json side_row_json(const visit::SideRow& row) {
  return {{"quantity", row.quantity},
          {"test", key_of(row.test)},
          {"knee", stated(row.knee)},
          {"beat_bpm", exact(row.beat_bpm)},
          {"left", value_json(row.left)},
          {"right", value_json(row.right)},
          {"left_minus_right", difference_json(row.difference)},
          {"weaker", stated(row.weaker)},
          {"why_not", text(row.why_not)}};
}

Json knee_row_json(const visit::KneeRow& row) {
  const auto side = [&](const visit::Value visit::Difference::*value) {
    return row.difference ? value_json((*row.difference).*value) : Json(nullptr);
  };
  return {{"quantity", row.quantity},
          {"side", stated(row.side)},
          {"bent", side(&visit::Difference::first)},
          {"straight", side(&visit::Difference::second)},
          {"bent_minus_straight", difference_json(row.difference)}};
}

Json form_json(const model::TestForm& form) {
  return {{"incline_deg", exact(form.incline_deg)},
          {"marker", text(form.marker)},
          {"reps_per_min", exact(form.reps_per_min)}};
}

Json reference_json(const model::Reference& reference) {
  return {{"key", reference.key},
          {"side", stated(reference.side)},
          {"knee", reference.knee ? stated(*reference.knee) : Json(nullptr)},
          {"sex", reference.sex},
          {"population", reference.population},
          {"n", whole(reference.n)},
          {"statistic", reference.statistic},
          {"value", exact(reference.value)},
          {"sd", exact(reference.sd)},
          {"low", exact(reference.low)},
          {"high", exact(reference.high)},
          {"form", form_json(reference.form)},
          {"mark", reference.mark},
          {"source", reference.source}};
}

Json reference_row_json(const visit::ReferenceRow& row) {
  Json out = {{"quantity", row.quantity}};
  add_slot(out, row.slot);
  out["measured"] = value_json(row.value);
  out["reference"] = reference_json(row.reference);
  out["of_reference_pct"] = exact(row.of_reference_pct);
  out["form_differs"] = row.form_differs;
  return out;
}

Json evidence_json(const visit::Evidence& evidence) {
  Json out = {{"sign", evidence.sign}, {"quantity", evidence.quantity}};
  add_slot(out, evidence.slot);
  out["beat_bpm"] = exact(evidence.beat_bpm);
  out["against"] = key_of(evidence.against);
  out["value"] = exact(evidence.value);
  out["other"] = exact(evidence.other);
  out["low"] = evidence.low;
  out["sureness"] = evidence.low ? Json(key_of(evidence.sureness)) : Json(nullptr);
  out["limit"] = text(evidence.limit);
  out["source"] = text(evidence.source);
  return out;
}

Json sign_json(const visit::SignOfSide& sign) {
  return {{"sign", sign.sign},
          {"side", stated(sign.side)},
          {"state", sign.state == model::SignState::unknown ? Json(nullptr) : Json(key_of(sign.state))},
          {"evidence", list_json(sign.evidence, evidence_json)}};
}

Json finding_json(const visit::Finding& finding) {
  return {{"key", finding.key},
          {"side", stated(finding.side)},
          {"sureness", key_of(finding.sureness)},
          {"because", list_json(finding.because, evidence_json)},
          {"could_also_be", finding.could_also_be},
          {"ladders", finding.ladders},
          {"ankle_first", finding.ankle_first},
          {"mark", text(finding.mark)},
          {"source", text(finding.source)}};
}

Json rung_json(const model::Rung& rung) {
  return {{"key", rung.key},
          {"sets", rung.sets},
          {"reps_low", whole(rung.reps_low)},
          {"reps_high", whole(rung.reps_high)},
          {"low_s", whole(rung.seconds_low)},
          {"high_s", whole(rung.seconds_high)},
          {"beat_bpm", exact(rung.beat_bpm)},
          {"loaded", rung.loaded},
          {"one_leg", rung.one_leg},
          {"from_reps", whole(rung.from_reps)},
          {"mark", text(rung.mark)},
          {"source", text(rung.source)}};
}

Json plan_line_json(const visit::PlanLine& line) {
  return {{"ladder", line.ladder},
          {"rung", rung_json(line.rung)},
          {"next", line.next ? rung_json(*line.next) : Json(nullptr)},
          {"leads", stated(line.leads)},
          {"why", text(line.why)},
          {"by_reps", exact(line.by_reps)},
          {"load_kg", exact(line.load_kg)},
          {"days", line.days}};
}

Json trend_point_json(const visit::TrendPoint& point) {
  return {{"date", point.date}, {"value", exact(point.value)}, {"u", exact(point.u)}};
}

}  // namespace

Json comparison_json(const visit::Comparison& comparison) {
  return {{"sides", list_json(comparison.sides, side_row_json)},
          {"knees", list_json(comparison.knees, knee_row_json)},
          {"references", list_json(comparison.references, reference_row_json)}};
}

Json reading_json(const visit::Reading& reading) {
  return {{"findings", list_json(reading.findings, finding_json)},
          {"signs", list_json(reading.signs, sign_json)},
          {"missing", reading.missing}};
}

Json plan_json(const visit::Plan& plan) {
  return {{"made", plan.made},
          {"why_not", text(plan.why_not)},
          {"lines", list_json(plan.lines, plan_line_json)},
          {"held_back", plan.held_back},
          {"next_test", text(plan.next_test.value_or(""))}};
}

Json next_step_json(const visit::NextStep& step) {
  return {{"ladder", step.ladder},
          {"rung", step.rung},
          {"trained_rung", text(step.trained_rung)},
          {"move", key_of(step.move)},
          {"why", text(step.why)},
          {"load_kg", exact(step.load_kg)},
          {"load_low_kg", exact(step.load_low_kg)},
          {"load_high_kg", exact(step.load_high_kg)},
          {"days_on_rung", step.days_on_rung}};
}

Json trend_json(const visit::Trend& trend) {
  Json out = {{"quantity", trend.quantity}};
  add_slot(out, trend.slot);
  out["beat_bpm"] = exact(trend.beat_bpm);
  out["points"] = list_json(trend.points, trend_point_json);
  out["change"] = exact(trend.change);
  out["noise_optimistic"] = exact(trend.noise_optimistic);
  out["noise_cautious"] = exact(trend.noise_cautious);
  out["verdict"] = key_of(trend.verdict);
  out["since_last"] = key_of(trend.since_last);
  out["better"] = flag(trend.better);
  out["form_differs"] = text(trend.form_differs);
  return out;
}

}  // namespace risetrace::report
