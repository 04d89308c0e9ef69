// What a measured number is held against: the quantities themselves, retest noise, customary cut-offs, reference
// values. All of it comes from models/, each value with its mark and source.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/test_form.h"

namespace risetrace::model {

// A number a clinician could argue with.
struct Sourced {
  double value = 0.0;
  std::string mark;  // "published", "from memory", "common practice", "ours"
  std::string source;
};

enum class Better { more, less, neither };

struct Quantity {
  std::string key;  // "reps", "greatest_height_cm": the unit ends it
  Test test = Test::heel_raise;
  std::string unit;  // for people: "cm"; empty for a count
  std::string ucum;  // UCUM: "cm", "{reps}"
  int decimals = 0;
  Better better = Better::more;
  bool equal_beat = false;  // to be compared at the same beat only
  bool by_hand = false;     // may be typed in where there is no clip
  double hand_least = 0.0;  // a typed value outside these is a slip
  double hand_greatest = 0.0;
};

// Smallest change that retest noise hardly makes, MDC95 = 1.96 sqrt 2 SEM. Studies disagree: the least and the greatest
// of those at hand are kept apart, never averaged.
struct RetestNoise {
  std::string quantity;
  bool relative = false;  // values in per cent of the mean of the two compared
  Sourced optimistic;
  Sourced cautious;
};

enum class CutOffKind { difference, index_pct };

// A customary border between sides. `index_pct`: the index falls short of 100 by more than this.
struct CutOff {
  std::string quantity;
  CutOffKind kind = CutOffKind::difference;
  Sourced limit;
};

// How a number was got, where that changes it. Empty: not stated.
struct TestForm {
  std::optional<double> incline_deg;
  std::string marker;                  // "heel", "malleolus"
  std::optional<double> reps_per_min;  // asked for
};

struct Reference {
  std::string key;
  std::string quantity;
  Side side = Side::not_stated;  // of a hop: both, or one leg (left stands for either)
  std::optional<Knee> knee;
  std::string sex;  // "female", "male", "any"
  std::string population;
  std::optional<int> n;
  std::string statistic;  // "median", "mean", "usual range", "asked for"
  std::optional<double> value;
  std::optional<double> sd;
  std::optional<double> low;  // of a usual range
  std::optional<double> high;
  TestForm form;
  std::string mark;
  std::string source;
};

struct Norms {
  std::vector<Quantity> quantities;  // in the order in which they are shown
  double coverage_factor = 1.96;     // of a normal's 95 %
  double equal_beat_pct = 4.0;       // beats, and hop rates, that differ by no more are taken as equal
  std::vector<RetestNoise> retest_noise;
  std::vector<CutOff> cut_offs;
  std::vector<Reference> references;

  [[nodiscard]] const Quantity* quantity(const std::string& key) const;
  [[nodiscard]] const RetestNoise* noise_of(const std::string& key) const;
  [[nodiscard]] std::vector<const CutOff*> cut_offs_of(const std::string& key) const;
};

}  // namespace risetrace::model
