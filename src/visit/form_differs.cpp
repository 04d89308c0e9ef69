#include "visit/form_differs.h"

namespace risetrace::visit {

std::string form_differs(const model::Quantity& quantity, const TestResult& a, const TestResult& b) {
  const bool by_the_end = quantity.key == "reps" || quantity.key == "total_height_cm" || quantity.key == "work_j";
  if (by_the_end && (a.set_end == "clip-end" || b.set_end == "clip-end")) return "set-not-ended";
  if (by_the_end && a.end_fraction && b.end_fraction && *a.end_fraction != *b.end_fraction) return "fraction";
  const bool by_the_marker = quantity.unit == "cm" || quantity.unit == "J";
  if (by_the_marker && !a.marker.empty() && !b.marker.empty() && a.marker != b.marker) return "marker";
  if (a.incline_deg.value_or(0) != b.incline_deg.value_or(0)) return "incline";
  const bool to_a_beat = quantity.test == Test::heel_raise && a.asked_bpm && b.asked_bpm;
  if (to_a_beat && *a.asked_bpm != *b.asked_bpm) return "beat";
  return "";
}

}  // namespace risetrace::visit
