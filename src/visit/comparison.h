// Left against right, bent against straight, and each against what others have.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/test_form.h"
#include "model/norms.h"
#include "visit/test_result.h"

namespace risetrace::visit {

enum class Beyond { not_known, no, yes };

// Three readings kept apart: is the difference more than measuring can make; more than the same leg differs from day to
// day (the least and the greatest published retest noise); more than is customarily let pass.
struct Readings {
  Beyond measuring = Beyond::not_known;
  Beyond noise_optimistic = Beyond::not_known;
  Beyond noise_cautious = Beyond::not_known;
  Beyond cut_off = Beyond::not_known;
};

// Two values of one quantity. first - second = left - right, or bent - straight.
struct Difference {
  Value first;
  Value second;
  double difference = 0.0;
  std::optional<double> difference_u;  // what both share cancels
  // The lesser as per cent of the greater, or, where a side was named as affected, affected / other x 100.
  std::optional<double> index_pct;
  std::optional<double> index_pct_u;
  Readings beyond;
  std::optional<double> noise_optimistic;  // the limits used, in the quantity's unit
  std::optional<double> noise_cautious;
  std::optional<double> cut_off;  // the one that was passed, else the first: a difference, or per cent
  model::CutOffKind cut_off_kind = model::CutOffKind::difference;
};

struct SideRow {
  std::string quantity;
  Test test = Test::heel_raise;
  Knee knee = Knee::not_stated;
  std::optional<double> beat_bpm;  // hops: at this beat
  std::optional<Value> left;
  std::optional<Value> right;
  std::optional<Difference> difference;  // empty: not to be compared, see why_not
  Side weaker = Side::not_stated;        // by the quantity's better direction
  std::string why_not;                   // wording key, "one-side", see form_differs.h; empty where compared
};

struct KneeRow {
  std::string quantity;
  Side side = Side::left;
  std::optional<Difference> difference;  // bent - straight; never empty
};

struct ReferenceRow {
  Slot slot;
  std::string quantity;
  Value value;
  model::Reference reference;
  std::optional<double> of_reference_pct;  // value / reference value
  std::vector<std::string> form_differs;   // wording keys: "incline", "marker", "cadence"
};

struct Comparison {
  std::vector<SideRow> sides;
  std::vector<KneeRow> knees;
  std::vector<ReferenceRow> references;
};

}  // namespace risetrace::visit
