// What was trained, day by day, and what follows from it.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace risetrace::visit {

struct TrainedSet {
  std::optional<int> reps = std::nullopt;
  std::optional<int> seconds = std::nullopt;
  std::optional<double> load_kg = std::nullopt;
  std::optional<double> beat_bpm = std::nullopt;
};

struct TrainingDay {
  std::string date;
  std::string ladder;
  std::string rung;
  std::vector<TrainedSet> sets;
  std::optional<int> pain_during;        // 0 .. 10
  std::optional<int> pain_next_morning;  // 0 .. 10
  std::string remark;
};

struct TrainingLog {
  std::string person;             // code
  std::vector<TrainingDay> days;  // in order of date
};

enum class Move { up, more_load, hold, down };

struct NextStep {
  std::string ladder;
  std::string rung;          // to train from here on
  std::string trained_rung;  // on the last day
  Move move = Move::hold;
  std::string why;                    // wording key "move.WHY": see follow_ladder.cpp
  std::optional<double> load_kg;      // of the last day's last set
  std::optional<double> load_low_kg;  // where more load is due: from .. to
  std::optional<double> load_high_kg;
  int days_on_rung = 0;
};

}  // namespace risetrace::visit
