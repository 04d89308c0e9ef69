// What to train, rung by rung, and when to move between rungs.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/norms.h"

namespace risetrace::model {

struct Rung {
  std::string key;  // its wording "rung.KEY.name" and "rung.KEY.how"; its drawing goes by the key too
  int sets = 3;
  std::optional<int> reps_low;  // of a set; empty where a set goes by seconds
  std::optional<int> reps_high;
  std::optional<int> seconds_low;
  std::optional<int> seconds_high;
  std::optional<double> beat_bpm;
  bool loaded = false;   // weight in the hand: its load goes up before the rung does
  bool one_leg = false;  // one leg works at a time: each is trained, the weaker first
  // Where one leg's count decides the start: from so many single-leg raises on (strength ladder).
  std::optional<int> from_reps;
  std::string mark;
  std::string source;
};

struct Ladder {
  std::string key;          // "strength", "recoil"
  std::vector<Rung> rungs;  // the easiest first
  int days_a_week = 3;
};

struct TrainingRules {
  std::vector<Ladder> ladders;
  Sourced pain_limit;       // of 10, while training
  Sourced pain_morning;     // of 10: above it, it is not gone next morning
  Sourced reps_over;        // so many over the target in the last set
  Sourced sessions_in_row;  // so many sessions running
  Sourced load_more_low_pct;
  Sourced load_more_high_pct;
  Sourced rest_hours_low;
  Sourced rest_hours_high;
  Sourced log_weeks;  // a training log says something of today for so long
  Sourced retest_weeks;

  [[nodiscard]] const Ladder* ladder(const std::string& key) const;
};

}  // namespace risetrace::model
