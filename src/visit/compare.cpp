#include "visit/compare.h"

#include <algorithm>
#include <cmath>

#include "visit/form_differs.h"

namespace risetrace::visit {

bool equal_beats(double a_bpm, double b_bpm, const model::Norms& norms) {
  return std::abs(a_bpm - b_bpm) <= norms.equal_beat_pct / 100 * std::min(a_bpm, b_bpm);
}

const BeatValues* nearest_beat(const TestResult* result, double bpm, const model::Norms& norms) {
  const BeatValues* nearest = nullptr;
  if (result == nullptr) return nullptr;
  for (const BeatValues& beat : result->beats) {
    if (!equal_beats(beat.beat_bpm, bpm, norms)) continue;
    if (nearest == nullptr || std::abs(beat.beat_bpm - bpm) < std::abs(nearest->beat_bpm - bpm)) nearest = &beat;
  }
  return nearest;
}

namespace {

std::optional<Value> value_in(const Values* values, const std::string& quantity) {
  const Value* value = values == nullptr ? nullptr : value_of(*values, quantity);
  return value == nullptr ? std::nullopt : std::optional(*value);
}

const Values* values_of(const TestResult* result) { return result == nullptr ? nullptr : &result->values; }

Affected affected_of(const Person& person) {
  if (person.affected_side == Side::left) return Affected::first;
  if (person.affected_side == Side::right) return Affected::second;
  return Affected::not_known;
}

Side weaker_by(const model::Quantity& quantity, double left, double right) {
  if (quantity.better == model::Better::neither || left == right) return Side::not_stated;
  const bool left_less = left < right;
  return left_less == (quantity.better == model::Better::more) ? Side::left : Side::right;
}

// Why two sides' numbers of one test are not alike enough to be set against each other; empty: they are.
std::string why_not_alike(const model::Quantity& quantity, const TestResult* left, const TestResult* right) {
  if (left == nullptr || right == nullptr) return "";
  const std::string differs = form_differs(quantity, *left, *right);
  return differs.empty() || differs == "set-not-ended" ? differs : differs + "-differs";
}

class SideRows {
 public:
  SideRows(const Person& person, const model::Norms& norms) : person_(person), norms_(norms) {}

  // One quantity of both sides' values, either of which may be missing. `why_not`: where the two may not be compared.
  void add(const model::Quantity& quantity, Knee knee, std::optional<double> beat_bpm, const Values* left,
           const Values* right, const std::string& why_not = "") {
    SideRow row;
    row.quantity = quantity.key;
    row.test = quantity.test;
    row.knee = knee;
    row.beat_bpm = beat_bpm;
    row.left = value_in(left, quantity.key);
    row.right = value_in(right, quantity.key);
    if (!row.left && !row.right) return;
    const bool one_side = !row.left || !row.right;
    row.why_not = one_side && why_not.empty() ? "one-side" : why_not;
    if (row.why_not.empty()) {
      row.difference = difference_of(*row.left, *row.right, quantity, affected_of(person_), norms_);
      row.weaker = weaker_by(quantity, row.left->value, row.right->value);
    }
    rows.push_back(std::move(row));
  }

  std::vector<SideRow> rows;

 private:
  const Person& person_;
  const model::Norms& norms_;
};

bool equal_rates(const Values* left, const Values* right, const model::Norms& norms) {
  const auto l = value_in(left, "hop_rate_per_min");
  const auto r = value_in(right, "hop_rate_per_min");
  return l && r && equal_beats(l->value, r->value, norms);
}

// Both kept the beat, or hopped at one rate all the same.
bool hopped_alike(const BeatValues* l, const BeatValues* r, const model::Norms& norms) {
  if (l == nullptr || r == nullptr) return false;
  return (l->kept && r->kept) || equal_rates(&l->values, &r->values, norms);
}

void add_beat_rows(const TestResult* left, const TestResult* right, const model::Norms& norms, SideRows& rows) {
  const auto by_beat = [&](auto add) {
    for (const model::Quantity& quantity : norms.quantities) {
      if (quantity.equal_beat) add(quantity);
    }
  };
  const bool left_steps = left != nullptr && !left->beats.empty();
  const bool right_steps = right != nullptr && !right->beats.empty();
  if (!left_steps && !right_steps) {
    // Where no beat was asked for or heard, the rates of hopping say whether the two sides hopped alike.
    const std::string why = equal_rates(values_of(left), values_of(right), norms) ? "" : "beat-differs";
    by_beat([&](const model::Quantity& q) {
      rows.add(q, Knee::not_stated, std::nullopt, values_of(left), values_of(right), why);
    });
    return;
  }
  std::vector<double> beats_bpm;
  for (const TestResult* one : {left, right}) {
    for (std::size_t i = 0; one != nullptr && i < one->beats.size(); ++i) {
      const double bpm = one->beats[i].beat_bpm;
      const bool known =
          std::any_of(beats_bpm.begin(), beats_bpm.end(), [&](double other) { return equal_beats(other, bpm, norms); });
      if (!known) beats_bpm.push_back(bpm);
    }
  }
  std::sort(beats_bpm.rbegin(), beats_bpm.rend());
  const bool both_hopped = left != nullptr && right != nullptr;
  for (const double bpm : beats_bpm) {
    const BeatValues* l = nearest_beat(left, bpm, norms);
    const BeatValues* r = nearest_beat(right, bpm, norms);
    const bool differ = both_hopped && !hopped_alike(l, r, norms);
    by_beat([&](const model::Quantity& q) {
      rows.add(q, Knee::not_stated, bpm, l == nullptr ? nullptr : &l->values, r == nullptr ? nullptr : &r->values,
               differ ? "beat-differs" : "");
    });
  }
}

void add_knee_rows(const std::vector<TestResult>& results, const model::Norms& norms, Comparison& out) {
  for (const Side side : {Side::left, Side::right}) {
    const TestResult* straight = result_of(results, {Test::heel_raise, side, Knee::straight});
    const TestResult* bent = result_of(results, {Test::heel_raise, side, Knee::bent});
    for (const model::Quantity& quantity : norms.quantities) {
      const auto b = value_in(values_of(bent), quantity.key);
      const auto s = value_in(values_of(straight), quantity.key);
      if (!b || !s || quantity.key == "knee_deg" || !form_differs(quantity, *bent, *straight).empty()) continue;
      out.knees.push_back({quantity.key, side, difference_of(*b, *s, quantity, Affected::first, norms)});
    }
  }
}

bool same_sex(const model::Reference& reference, Sex sex) {
  if (reference.sex == "any") return true;
  return (reference.sex == "female" && sex == Sex::female) || (reference.sex == "male" && sex == Sex::male);
}

bool same_test(const model::Reference& reference, const Slot& slot) {
  if (reference.side != Side::not_stated && (reference.side == Side::both) != (slot.side == Side::both)) return false;
  return slot.test != Test::heel_raise || !reference.knee || *reference.knee == slot.knee;
}

// Where the reference says how it was got and this test was, or may have been, got otherwise.
std::vector<std::string> form_differs(const model::Reference& reference, const TestResult& result) {
  std::vector<std::string> out;
  const model::TestForm& form = reference.form;
  if (form.incline_deg && *form.incline_deg != result.incline_deg.value_or(0)) out.emplace_back("incline");
  const std::string marker = result.got_by == GotBy::hand ? "" : result.marker;
  if (!form.marker.empty() && form.marker != marker && !(marker.empty() && reference.quantity == "reps")) {
    out.emplace_back("marker");
  }
  const auto rate = value_in(&result.values, "reps_per_min");
  constexpr double same_cadence = 0.1;
  if (form.reps_per_min && rate && std::abs(rate->value / *form.reps_per_min - 1) > same_cadence) {
    out.emplace_back("cadence");
  }
  return out;
}

void add_reference_rows(const std::vector<TestResult>& results, const Person& person, const model::Norms& norms,
                        Comparison& out) {
  for (const TestResult& result : results) {
    for (const model::Reference& reference : norms.references) {
      const model::Quantity* quantity = norms.quantity(reference.quantity);
      const auto value = value_in(&result.values, reference.quantity);
      if (quantity == nullptr || quantity->test != result.slot.test || !value) continue;
      if (!same_sex(reference, person.sex) || !same_test(reference, result.slot)) continue;
      ReferenceRow row{result.slot, reference.quantity, *value,
                       reference,   std::nullopt,       form_differs(reference, result)};
      if (reference.value && *reference.value > 0) row.of_reference_pct = 100 * value->value / *reference.value;
      out.references.push_back(std::move(row));
    }
  }
}

}  // namespace

Comparison compare(const std::vector<TestResult>& results, const Person& person, const model::Norms& norms) {
  Comparison out;
  SideRows rows(person, norms);
  const auto add_all = [&](Test test, Knee knee) {
    const TestResult* left = result_of(results, {test, Side::left, knee});
    const TestResult* right = result_of(results, {test, Side::right, knee});
    for (const model::Quantity& quantity : norms.quantities) {
      if (quantity.test != test || quantity.equal_beat) continue;
      rows.add(quantity, knee, std::nullopt, values_of(left), values_of(right), why_not_alike(quantity, left, right));
    }
    if (test == Test::hop) add_beat_rows(left, right, norms, rows);
  };
  add_all(Test::lunge, Knee::not_stated);
  add_all(Test::heel_raise, Knee::straight);
  add_all(Test::heel_raise, Knee::bent);
  add_all(Test::hop, Knee::not_stated);
  out.sides = std::move(rows.rows);
  add_knee_rows(results, norms, out);
  add_reference_rows(results, person, norms, out);
  return out;
}

}  // namespace risetrace::visit
