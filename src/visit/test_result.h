// What one test of a visit gave: its numbers by quantity, whichever way they were got.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/note.h"
#include "visit/session.h"

namespace risetrace::visit {

struct Value {
  double value = 0.0;
  std::optional<double> u;  // standard uncertainty, same unit; empty: not known
  // The part of u that every clip measured with the same printed card shares, over the value: it cancels between sides.
  double shared_relative_u = 0.0;
};

using Values = std::map<std::string, Value>;  // by the quantity's key; what is not known is not in it

// The numbers of the hops at one beat.
struct BeatValues {
  double beat_bpm = 0.0;
  bool kept = false;
  Values values;
};

struct TracePoint {
  double t_s = 0.0;
  double height_cm = 0.0;  // above standing
};

// One rep or one hop, for drawing both sides over each other.
struct Stroke {
  int n = 0;
  double t_s = 0.0;    // of the peak, of the touchdown
  double value = 0.0;  // height in cm, contact in ms
  bool counted = false;
};

struct TestResult {
  Slot slot;
  GotBy got_by = GotBy::hand;
  Values values;
  std::vector<BeatValues> beats;  // hops: one a step of the beat

  std::vector<Stroke> strokes;
  std::vector<TracePoint> trace;  // heel raises, where the trace was at hand
  std::string source_file;        // the clip's name without folders; empty by hand
  std::string source_sha256;
  std::string recorded_at;  // as the clip says, ISO 8601; empty: it does not
  std::string program_version;
  std::string scale_from;  // "tags", "id-1", "given", "none"; empty by hand
  std::string marker;      // "heel"
  std::optional<double> incline_deg;
  std::optional<double> mass_kg;  // that work and stiffness were worked out with
  std::optional<double> end_fraction;
  std::optional<double> asked_bpm;
  std::optional<std::string> set_end;  // "low-height", "pause", "clip-end", "by-hand"
  Pain pain;
  std::string remark;
  Notes notes;
};

// Of this slot; null where there is none.
const TestResult* result_of(const std::vector<TestResult>& results, const Slot& slot);
// Of this quantity; null where it is not known.
const Value* value_of(const Values& values, const std::string& quantity);

}  // namespace risetrace::visit
