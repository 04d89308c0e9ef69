#include "visit/look_at_watches.h"

#include <algorithm>
#include <cmath>

namespace risetrace::visit {
namespace {

using model::Against;
using model::Sureness;

// As many decimals as a limit has: "5", "7.6".
std::string shown(double value) {
  std::string text = std::to_string(value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

Sureness sureness_of(const Difference& difference) {
  if (difference.beyond.noise_cautious == Beyond::yes) return Sureness::sure;
  return difference.beyond.noise_optimistic == Beyond::yes ? Sureness::likely : Sureness::doubtful;
}

bool is_low(const Difference& difference) {
  return difference.beyond.cut_off == Beyond::yes && difference.beyond.measuring != Beyond::no;
}

const model::CutOff* cut_off_used(const Difference& difference, const std::string& quantity,
                                  const model::Norms& norms) {
  for (const model::CutOff* cut : norms.cut_offs_of(quantity)) {
    if (difference.cut_off && cut->kind == difference.cut_off_kind && cut->limit.value == *difference.cut_off)
      return cut;
  }
  return nullptr;
}

Evidence evidence_of(const model::Watch& watch, const model::Quantity& quantity, Side side) {
  Evidence out;
  out.quantity = watch.quantity;
  out.against = watch.against;
  out.slot = {quantity.test, side, watch.knee.value_or(Knee::not_stated)};
  return out;
}

void set_against(const Difference& difference, const model::Watch& watch, const model::Norms& norms, Evidence& out) {
  out.low = out.low && is_low(difference);
  out.sureness = std::min(sureness_of(difference), watch.at_most);
  if (const model::CutOff* cut = cut_off_used(difference, watch.quantity, norms)) {
    const bool percent = cut->kind == model::CutOffKind::index_pct;
    const std::string unit = percent ? "%" : norms.quantity(watch.quantity)->unit;
    out.limit = shown(cut->limit.value) + (unit.empty() ? "" : " " + unit);
    out.source = cut->limit.source;
  }
}

std::vector<Evidence> against_other_side(const model::Watch& watch, const model::Quantity& quantity, Side side,
                                         const Looked& looked) {
  std::vector<Evidence> out;
  for (const SideRow& row : looked.comparison.sides) {
    if (row.quantity != watch.quantity || row.knee != watch.knee.value_or(Knee::not_stated) || !row.difference)
      continue;
    // Without a limit there is nothing to be low or good by.
    if (row.difference->beyond.cut_off == Beyond::not_known) continue;
    Evidence one = evidence_of(watch, quantity, side);
    one.beat_bpm = row.beat_bpm;
    const bool left = side == Side::left;
    one.value = left ? row.left->value : row.right->value;
    one.other = left ? row.right->value : row.left->value;
    one.low = row.weaker == side;
    set_against(*row.difference, watch, looked.norms, one);
    out.push_back(one);
    // Rows come fastest beat first. Every slower one would be one more chance to be low, and slow hops are no spring.
    if (row.beat_bpm) break;
  }
  return out;
}

std::vector<Evidence> against_other_knee(const model::Watch& watch, const model::Quantity& quantity, Side side,
                                         const Looked& looked) {
  std::vector<Evidence> out;
  for (const KneeRow& row : looked.comparison.knees) {
    if (row.quantity != watch.quantity || row.side != side || !row.difference) continue;
    Evidence one = evidence_of(watch, quantity, side);
    const bool bent = watch.knee == Knee::bent;
    one.value = bent ? row.difference->first.value : row.difference->second.value;
    one.other = bent ? row.difference->second.value : row.difference->first.value;
    one.low = quantity.better == model::Better::less ? one.value > one.other : one.value < one.other;
    set_against(*row.difference, watch, looked.norms, one);
    out.push_back(one);
  }
  return out;
}

// Hops get slower and longer on the ground with the beat: those at the fastest beat that was kept are judged; where no
// step was kept, all.
const Values& values_to_judge(const TestResult& result, const model::Quantity& quantity) {
  const BeatValues* fastest = nullptr;
  for (const BeatValues& beat : result.beats) {
    if (beat.kept && (fastest == nullptr || beat.beat_bpm > fastest->beat_bpm)) fastest = &beat;
  }
  return quantity.equal_beat && fastest != nullptr ? fastest->values : result.values;
}

std::vector<Evidence> against_limit(const model::Watch& watch, const model::Quantity& quantity, Side side,
                                    const Looked& looked) {
  Evidence one = evidence_of(watch, quantity, side);
  if (watch.both_legs) one.slot.side = Side::both;
  const TestResult* result = result_of(looked.results, one.slot);
  const Value* value = result == nullptr ? nullptr : value_of(values_to_judge(*result, quantity), watch.quantity);
  if (value == nullptr) return {};
  one.value = value->value;
  one.other = watch.limit->value;
  const double doubt = looked.norms.coverage_factor * value->u.value_or(0);
  one.low = watch.against == Against::least ? one.value < one.other - doubt : one.value > one.other + doubt;
  // A set that its clip did not see the end of is at least so much: it can pass a least value, not fail it.
  if (one.low && result->set_end == "clip-end" && watch.against == Against::least) return {};
  one.sureness = watch.at_most;
  one.limit = shown(watch.limit->value) + (quantity.unit.empty() ? "" : " " + quantity.unit);
  one.source = watch.limit->source;
  return {one};
}

}  // namespace

std::vector<Evidence> look_at(const model::Watch& watch, Side side, const Looked& looked) {
  const model::Quantity* quantity = looked.norms.quantity(watch.quantity);
  if (quantity == nullptr) return {};
  switch (watch.against) {
    case Against::other_side:
      return against_other_side(watch, *quantity, side, looked);
    case Against::other_knee:
      return against_other_knee(watch, *quantity, side, looked);
    case Against::least:
    case Against::greatest:
      break;
  }
  return against_limit(watch, *quantity, side, looked);
}

}  // namespace risetrace::visit
