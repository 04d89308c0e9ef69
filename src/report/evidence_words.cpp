#include "report/evidence_words.h"

#include <algorithm>
#include <cmath>

namespace risetrace::report {

namespace {

bool same_beat(std::optional<double> a, std::optional<double> b) {
  return a.has_value() == b.has_value() && (!a || std::abs(*a - *b) < 0.01);
}

}  // namespace

const visit::SideRow* row_of(const visit::Screen& screen, const visit::Evidence& evidence) {
  for (const visit::SideRow& row : screen.comparison.sides) {
    if (row.quantity == evidence.quantity && row.test == evidence.slot.test && row.knee == evidence.slot.knee &&
        same_beat(row.beat_bpm, evidence.beat_bpm) && row.difference) {
      return &row;
    }
  }
  return nullptr;
}

std::vector<EvidenceGroup> grouped(const std::vector<visit::Evidence>& evidence) {
  std::vector<EvidenceGroup> groups;
  for (const visit::Evidence& one : evidence) {
    const auto alike = [&](const EvidenceGroup& group) {
      const visit::Evidence& first = *group.first;
      return one.beat_bpm && first.beat_bpm && first.quantity == one.quantity && first.slot == one.slot &&
             first.against == one.against && first.low == one.low && first.sureness == one.sureness;
    };
    const auto at = std::find_if(groups.begin(), groups.end(), alike);
    if (at != groups.end()) {
      at->other_beats.push_back(*one.beat_bpm);
    } else {
      groups.push_back({&one, {}});
    }
  }
  return groups;
}

std::string evidence_in_words(const ScreenWords& words, const visit::Evidence& evidence) {
  const visit::Slot& slot = evidence.slot;
  Fill fill = {{"quantity", words.quantity(evidence.quantity)},
               {"side", words.side(slot.side)},
               {"other_side", words.side(slot.side == Side::left ? Side::right : Side::left)},
               {"form", words.form(slot.test, slot.knee, evidence.beat_bpm)},
               {"value", words.figure(evidence.quantity, evidence.value)},
               {"other", words.figure(evidence.quantity, evidence.other)}};
  switch (evidence.against) {
    case model::Against::other_side:
      return words.say("because.other-side", fill);
    case model::Against::other_knee:
      return words.say("because.other-knee", fill);
    case model::Against::least:
      return words.say("because.least", fill);
    case model::Against::greatest:
      break;
  }
  return words.say("because.greatest", fill);
}

std::string noise_in_words(const ScreenWords& words, const std::string& quantity, const visit::Difference& difference) {
  const visit::Readings& beyond = difference.beyond;
  const bool known = beyond.noise_optimistic != visit::Beyond::not_known &&
                     beyond.noise_cautious != visit::Beyond::not_known && difference.noise_optimistic &&
                     difference.noise_cautious;
  if (!known) return words.say("readings.noise.not-known");
  const std::string key =
      std::string("readings.noise.") + key_of(beyond.noise_optimistic) + "-" + key_of(beyond.noise_cautious);
  // One decimal where the quantity has none: a limit of 5.7 reps is not 6.
  const auto limit = [&](double value) {
    const std::string unit = words.unit(quantity);
    return words.plain(value, 1) + (unit.empty() || unit == "°" ? unit : " " + unit);
  };
  if (std::abs(*difference.noise_optimistic - *difference.noise_cautious) < 1e-9) {  // one study at hand
    return words.say(std::string("readings.noise.") + key_of(beyond.noise_cautious),
                     {{"limit", limit(*difference.noise_cautious)}});
  }
  return words.say(
      key, {{"optimistic", limit(*difference.noise_optimistic)}, {"cautious", limit(*difference.noise_cautious)}});
}

std::string limits_in_words(const ScreenWords& words, const visit::Evidence& evidence) {
  const visit::SideRow* row = row_of(words.screen(), evidence);
  if (evidence.against != model::Against::other_side || row == nullptr) {
    return evidence.limit.empty() || evidence.against == model::Against::least ||
                   evidence.against == model::Against::greatest
               ? ""
               : words.say("because.limit", {{"limit", words.quoted(evidence.limit)}});
  }
  const visit::Difference& difference = *row->difference;
  const std::string cut_off = words.say(std::string("readings.cut-off.") + key_of(difference.beyond.cut_off),
                                        {{"limit", words.cut_off(evidence.quantity, difference)}});
  return words.say(std::string("readings.measuring.") + key_of(difference.beyond.measuring)) + "; " +
         noise_in_words(words, evidence.quantity, difference) + "; " + cut_off;
}

}  // namespace risetrace::report
