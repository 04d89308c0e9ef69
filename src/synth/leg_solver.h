// From what is known of the foot and the knee to the whole leg's pose.
#pragma once

#include "synth/leg.h"
#include "synth/pose.h"

namespace risetrace::synth {

struct Wanted {
  double heel_cm = 0.0;       // of the heel sticker above standing, without the sole's thinning
  double clearance_cm = 0.0;  // of the shoe's lowest point above the floor
  double toe_turn_rad = 0.0;
  double knee_rad = 0.0;  // bent so far; the hip stays over where the foot stands
  double place_cm = 0.0;  // of the foot, forwards of where it stood at first
  double thinner_cm = 0.0;
};

class LegSolver {
 public:
  explicit LegSolver(const LegModel& leg);

  // A heel lower than a flat foot has it is raised to that.
  [[nodiscard]] Pose solve(const Wanted& wanted);
  // Turns shank and thigh so that the hip is there; out of reach, the leg points at it.
  void bend_to_hip(Pose& pose, Point hip_cm) const;
  [[nodiscard]] double leg_length_cm(double knee_rad) const;
  [[nodiscard]] double knee_for_length_rad(double length_cm) const;
  [[nodiscard]] Point hip_of(const Pose& pose) const;
  [[nodiscard]] const LegModel& leg() const { return leg_; }

 private:
  [[nodiscard]] double excess_cm(Pose& pose, double turn_rad, const Wanted& wanted) const;
  [[nodiscard]] double foot_turn(Pose pose, const Wanted& wanted) const;

  const LegModel& leg_;
  Point standing_hip_cm_;
  double standing_heel_cm_ = 0.0;  // above the lowest point
  double last_turn_rad_ = 0.0;     // where to look first
};

}  // namespace risetrace::synth
