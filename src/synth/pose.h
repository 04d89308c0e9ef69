// How the leg is held at an instant.
#pragma once

#include "base/geometry.h"

namespace risetrace::synth {

// Angles are positive the way the foot turns when the heel rises, leans positive with the upper end forward.
struct Pose {
  double foot_turn_rad = 0.0;  // of the shoe's stiff rear, from standing
  double toe_turn_rad = 0.0;   // of what lies ahead of the ball
  Point ball_cm;               // the ball from where it is when standing: forwards, up
  double thinner_cm = 0.0;     // of the sole, under load
  double shank_lean_rad = 0.0;
  double thigh_lean_rad = 0.0;
};

}  // namespace risetrace::synth
