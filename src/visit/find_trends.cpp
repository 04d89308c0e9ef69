#include "visit/find_trends.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "visit/compare.h"
#include "visit/form_differs.h"

namespace risetrace::visit {
namespace {

// One number of one visit, and how it was got.
struct Sample {
  const EarlierVisit* visit = nullptr;
  const TestResult* result = nullptr;
  const TestResult* other = nullptr;  // of a difference of sides: the right one
  Value value;
};

const Values* values_at(const TestResult& result, std::optional<double> beat_bpm, const model::Norms& norms) {
  if (!beat_bpm) return &result.values;
  const BeatValues* beat = nearest_beat(&result, *beat_bpm, norms);
  return beat == nullptr || !beat->kept ? nullptr : &beat->values;
}

std::optional<Sample> sample_of(const EarlierVisit& visit, const Slot& slot, std::optional<double> beat_bpm,
                                const std::string& quantity, const model::Norms& norms) {
  const TestResult* result = result_of(visit.results, slot);
  const Values* values = result == nullptr ? nullptr : values_at(*result, beat_bpm, norms);
  const Value* value = values == nullptr ? nullptr : value_of(*values, quantity);
  if (value == nullptr) return std::nullopt;
  return Sample{&visit, result, nullptr, *value};
}

// As for two sides; and what was counted by eye and what was measured may differ by more than a leg does.
std::string how_differs(const model::Quantity& quantity, const TestResult& a, const TestResult& b) {
  if ((a.got_by == GotBy::hand) != (b.got_by == GotBy::hand)) return "by-hand";
  return form_differs(quantity, a, b);
}

std::string how_differs(const model::Quantity& quantity, const Sample& a, const Sample& b) {
  std::string differs = how_differs(quantity, *a.result, *b.result);
  if (differs.empty() && a.other != nullptr && b.other != nullptr) differs = how_differs(quantity, *a.other, *b.other);
  return differs;
}

Change verdict(double change, std::optional<double> optimistic, std::optional<double> cautious) {
  if (!optimistic || !cautious) return Change::cannot_tell;
  if (std::abs(change) > *cautious) return Change::changed;
  return std::abs(change) <= *optimistic ? Change::not_changed : Change::cannot_tell;
}

// Of samples in order of date, two or more. `legs`: 2 for a difference of sides.
Trend trend_of(const model::Quantity& quantity, const std::vector<Sample>& samples, int legs,
               const model::Norms& norms) {
  Trend out;
  out.quantity = quantity.key;
  for (const Sample& sample : samples) out.points.push_back({sample.visit->date, sample.value.value, sample.value.u});
  const Sample& first = samples.front();
  const Sample& last = samples.back();
  const Sample& before = samples[samples.size() - 2];
  const model::RetestNoise* noise = norms.noise_of(quantity.key);
  const bool relative_of_difference = noise != nullptr && noise->relative && legs == 2;
  const auto limit = [&](bool cautious, const Sample& from) -> std::optional<double> {
    if (relative_of_difference) return std::nullopt;  // a share of what may be nought
    const auto one = noise_limit(noise, cautious, from.value.value, last.value.value);
    return one ? std::optional(legs == 2 ? std::numbers::sqrt2 * *one : *one) : std::nullopt;
  };
  out.change = last.value.value - first.value.value;
  out.noise_optimistic = limit(false, first);
  out.noise_cautious = limit(true, first);
  out.verdict = verdict(out.change, out.noise_optimistic, out.noise_cautious);
  out.since_last = verdict(last.value.value - before.value.value, limit(false, before), limit(true, before));
  out.form_differs = how_differs(quantity, first, last);
  if (!out.form_differs.empty()) out.verdict = Change::cannot_tell;
  if (!how_differs(quantity, before, last).empty()) out.since_last = Change::cannot_tell;
  if (out.verdict == Change::changed && quantity.better != model::Better::neither) {
    const bool more = legs == 2 ? std::abs(last.value.value) < std::abs(first.value.value) : out.change > 0;
    out.better = legs == 2 ? more : more == (quantity.better == model::Better::more);
  }
  return out;
}

class Trends {
 public:
  Trends(const std::vector<EarlierVisit>& visits, const model::Norms& norms) : visits_(visits), norms_(norms) {}

  void add(const model::Quantity& quantity, const Slot& slot, std::optional<double> beat_bpm) {
    std::vector<Sample> samples;
    for (const EarlierVisit& visit : visits_) {
      if (const auto one = sample_of(visit, slot, beat_bpm, quantity.key, norms_)) samples.push_back(*one);
    }
    keep(quantity, slot, beat_bpm, samples, 1);
  }

  void add_difference(const model::Quantity& quantity, Slot slot, std::optional<double> beat_bpm) {
    std::vector<Sample> samples;
    for (const EarlierVisit& visit : visits_) {
      slot.side = Side::left;
      const auto left = sample_of(visit, slot, beat_bpm, quantity.key, norms_);
      slot.side = Side::right;
      const auto right = sample_of(visit, slot, beat_bpm, quantity.key, norms_);
      if (!left || !right) continue;
      Sample both = *left;
      both.other = right->result;
      const Difference apart = difference_of(left->value, right->value, quantity, Affected::not_known, norms_);
      both.value = {apart.difference, apart.difference_u, 0.0};
      samples.push_back(both);
    }
    slot.side = Side::not_stated;
    keep(quantity, slot, beat_bpm, samples, 2);
  }

  std::vector<Trend> found;

 private:
  void keep(const model::Quantity& quantity, const Slot& slot, std::optional<double> beat_bpm,
            const std::vector<Sample>& samples, int legs) {
    if (samples.size() < 2 || samples.back().visit != &visits_.back()) return;
    found.push_back(trend_of(quantity, samples, legs, norms_));
    found.back().slot = slot;
    found.back().beat_bpm = beat_bpm;
  }

  const std::vector<EarlierVisit>& visits_;
  const model::Norms& norms_;
};

std::vector<std::optional<double>> beats_of(const TestResult& result, const model::Quantity& quantity) {
  if (!quantity.equal_beat) return {std::nullopt};
  std::vector<std::optional<double>> beats;
  for (const BeatValues& beat : result.beats) {
    if (beat.kept) beats.emplace_back(beat.beat_bpm);
  }
  return beats;
}

}  // namespace

std::vector<Trend> find_trends(std::vector<EarlierVisit> visits, const model::Norms& norms) {
  if (visits.size() < 2) return {};
  std::stable_sort(visits.begin(), visits.end(),
                   [](const EarlierVisit& a, const EarlierVisit& b) { return a.date < b.date; });
  Trends trends(visits, norms);
  for (const TestResult& result : visits.back().results) {
    for (const model::Quantity& quantity : norms.quantities) {
      if (quantity.test != result.slot.test) continue;
      for (const auto& beat : beats_of(result, quantity)) {
        trends.add(quantity, result.slot, beat);
        if (result.slot.side == Side::left) trends.add_difference(quantity, result.slot, beat);
      }
    }
  }
  return std::move(trends.found);
}

}  // namespace risetrace::visit
