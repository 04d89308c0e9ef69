// When the foot is on the ground, and when the beat sounds: exact instants in scene time.
#pragma once

#include <limits>
#include <vector>

#include "base/gravity.h"
#include "synth/scene.h"

namespace risetrace::synth {

struct BeatClick {
  double time_s = 0.0;  // of filming, in picture time
  int step = -1;        // -1: of the run-in
  bool accent = false;  // the first of a step
};

// From half a beat before a step's first beat to half a beat after its last.
struct BeatSpan {
  double bpm = 0.0;
  double first_s = 0.0;
  double from_s = 0.0;
  double to_s = 0.0;
  int beats = 0;
};

// Empty where the scene has no beat.
std::vector<BeatClick> beat_clicks(const Scene& scene);
std::vector<BeatSpan> beat_spans(const Scene& scene);

// One time on the ground, after a flight.
struct Landing {
  double touchdown_s = 0.0;
  double takeoff_s = std::numeric_limits<double>::infinity();  // infinite: stays down
  double flight_s = 0.0;                                       // of the flight that ends in this touchdown
  HopKind kind = HopKind::hop;
  bool is_hop = true;     // false: double touch, stumble, step away, and the landing that stays
  double place_cm = 0.0;  // forwards of where the foot stood at first
  int step = -1;          // of the beat, whose beat it is meant for
};

class HopPlan {
 public:
  // The scene must have hops.
  explicit HopPlan(const Scene& scene);

  // In order, none overlapping, the last one stays down. Before the first flight the foot stands.
  [[nodiscard]] const std::vector<Landing>& landings() const { return landings_; }
  [[nodiscard]] double first_takeoff_s() const { return landings_.front().touchdown_s - landings_.front().flight_s; }
  // Through the last landing and the standing after it.
  [[nodiscard]] double length_s() const { return length_s_; }
  [[nodiscard]] bool in_contact(double time_s) const;

 private:
  void by_list(const Scene& scene);
  void by_rule(const Scene& scene);
  void by_beat(const Scene& scene);
  void add(double flight_s, double contact_s, HopKind kind, double step_cm, int step);
  void stay_down(double flight_s);

  double now_s_ = 0.0;  // the last take-off so far
  double place_cm_ = 0.0;
  std::vector<Landing> landings_;
  double length_s_ = 0.0;
};

}  // namespace risetrace::synth
