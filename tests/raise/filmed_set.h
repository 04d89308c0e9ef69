// Sets of heel raises whose truth is written down: straight from a list of movements to samples.
#pragma once

#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <vector>

#include "model/raise_protocol.h"
#include "path/path.h"
#include "raise/find_reps.h"

namespace risetrace::raise::test {

// The values of models/heel-raise.json as they stand at the time of writing; a rule's test must not move with the file.
inline model::RaiseProtocol protocol() {
  model::RaiseProtocol p;
  p.end_fraction = 0.75;
  p.end_after = 2;
  p.reference_reps = 3;
  p.beat_bpm = 60;
  p.least_rise_cm = 1.5;
  p.least_rise_of_reference = 0.25;
  p.onset_of_rise = 0.03;
  p.not_lowered_of_reference = 0.20;
  p.step_across_cm = 12.0;
  p.end_pause_s = 5.0;
  p.on_beat_tolerance = 0.15;
  p.smooth_cutoff_hz = 10;
  return p;
}

// Movements one after the other, each a raised cosine from where the last one stopped.
class Movement {
 public:
  explicit Movement(double from_cm = 0.0) : level_cm_(from_cm) {}

  Movement& stay(double seconds) { return go(level_cm_, seconds); }
  Movement& go(double to_cm, double seconds) {
    parts_.push_back({end_s_, seconds, level_cm_, to_cm});
    end_s_ += seconds;
    level_cm_ = to_cm;
    return *this;
  }
  Movement& rep(double height_cm, double up_s = 1.0, double down_s = 1.0, double floor_cm = 0.0) {
    return go(height_cm, up_s).go(floor_cm, down_s);
  }
  [[nodiscard]] double end_s() const { return end_s_; }
  [[nodiscard]] double operator()(double t) const {
    for (const Part& p : parts_) {
      if (t <= p.start_s + p.seconds) {
        return p.from_cm + (p.to_cm - p.from_cm) * (1 - std::cos(std::numbers::pi * (t - p.start_s) / p.seconds)) / 2;
      }
    }
    return level_cm_;
  }

 private:
  struct Part {
    double start_s, seconds, from_cm, to_cm;
  };
  std::vector<Part> parts_;
  double end_s_ = 0.0;
  double level_cm_;
};

// When a raised cosine of that duration has done `share` of its way.
inline double share_s(double share, double seconds) { return seconds * std::acos(1 - 2 * share) / std::numbers::pi; }

using Samples = std::vector<path::PathSample>;

inline Samples samples_of(const std::function<double(double)>& height, double seconds, double rate_hz = 60) {
  Samples out;
  for (int i = 0; i <= std::lround(seconds * rate_hz); ++i) {
    path::PathSample s;
    s.frame = 100 + i;
    s.time_s = i / rate_hz;
    s.up_cm = height(s.time_s);
    s.up_raw_cm = s.up_cm;
    s.seen = true;
    out.push_back(s);
  }
  return out;
}

inline Samples samples_of(const Movement& movement, double rate_hz = 60) {
  return samples_of([&](double t) { return movement(t); }, movement.end_s(), rate_hz);
}

inline RepSet reps_in(const Samples& samples, const model::RaiseProtocol& rules = protocol()) {
  RepFinder finder(rules);
  for (const auto& s : samples) finder.push(s);
  return finder.finish();
}

inline RepSet reps_in(const Movement& movement, const model::RaiseProtocol& rules = protocol()) {
  return reps_in(samples_of(movement), rules);
}

inline bool has_note(const RepSet& set, const std::string& code) {
  for (const Note& note : set.notes) {
    if (note.code == code) return true;
  }
  return false;
}

}  // namespace risetrace::raise::test
