// The part of a scene that makes it a clip of weight-bearing lunges, knee to the wall.
#pragma once

#include <optional>
#include <vector>

namespace risetrace::synth {

// The shank leans forward over a foot that stays where it is, and comes back.
struct LungeTry {
  double pause_before_s = 0.0;  // standing
  double forward_s = 1.5;
  double hold_s = 2.0;
  double back_s = 1.5;
  double shank_deg = 38.0;    // from the vertical, held
  double heel_rise_cm = 0.0;  // a heel that does not stay down, at the farthest
  bool comes_back = true;     // false: the clip ends in the lunge; only of the last try
};

struct LungeSpec {
  std::vector<LungeTry> tries{LungeTry{}};
  std::optional<double> wall_cm;  // a wall so far ahead of the shoe's tip; unset: none in view
};

}  // namespace risetrace::synth
