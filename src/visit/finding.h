// What the numbers say when read by the rules, why, how surely, and what else could explain it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/reading_rules.h"
#include "visit/comparison.h"

namespace risetrace::visit {

// One watch that was looked at.
struct Evidence {
  std::string sign;
  std::string quantity;
  Slot slot;                       // of the value
  std::optional<double> beat_bpm;  // hops
  model::Against against = model::Against::other_side;
  double value = 0.0;
  double other = 0.0;  // the other side's, the other knee's, or the limit
  bool low = false;
  model::Sureness sureness = model::Sureness::doubtful;  // where low
  std::string limit;                                     // "5 reps", "10 %", with its source: what it was held against
  std::string source;
};

struct SignOfSide {
  std::string sign;
  Side side = Side::left;
  model::SignState state = model::SignState::unknown;
  std::vector<Evidence> evidence;
};

struct Finding {
  std::string key;
  Side side = Side::left;  // both: of either leg alike
  model::Sureness sureness = model::Sureness::doubtful;
  std::vector<Evidence> because;  // the low ones first
  std::vector<std::string> could_also_be;
  std::vector<std::string> ladders;
  bool ankle_first = false;
  std::string mark;
  std::string source;
};

struct Reading {
  std::vector<SignOfSide> signs;
  std::vector<Finding> findings;     // the most pressing first
  std::vector<std::string> missing;  // slots' keys that were not tested and would say more
};

}  // namespace risetrace::visit
