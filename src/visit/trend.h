// One quantity over the visits of a person.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "visit/comparison.h"

namespace risetrace::visit {

enum class Change { cannot_tell, not_changed, changed };

struct TrendPoint {
  std::string date;
  double value = 0.0;
  std::optional<double> u;
};

struct Trend {
  std::string quantity;
  Slot slot;  // side not_stated: the difference left - right
  std::optional<double> beat_bpm;
  std::vector<TrendPoint> points;          // in order of date, this visit's last
  double change = 0.0;                     // last - first
  std::optional<double> noise_optimistic;  // in the quantity's unit
  std::optional<double> noise_cautious;
  // Beyond the cautious noise: changed. Within the optimistic: not changed. Between, or where none is known: cannot
  // tell.
  Change verdict = Change::cannot_tell;
  Change since_last = Change::cannot_tell;  // the same from the visit before
  std::optional<bool> better;               // where changed and the quantity has a better direction
  std::string form_differs;                 // wording key where two visits were not tested alike; empty: alike as told
};

}  // namespace risetrace::visit
