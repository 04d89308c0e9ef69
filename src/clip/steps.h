// The steps in time between frames: their size, their gaps, whether they are even. Plain numbers, no video library.
#pragma once

#include <cstdint>
#include <vector>

namespace risetrace::clip {

struct StepFacts {
  double step_ticks = 0.0;  // usual step; 0 where fewer than two frames
  std::int64_t frames_missing = 0;
  std::int64_t first_gap_at = -1;  // index of the step that holds the first gap
  bool uneven = false;             // half the width of the central 90 % of steps is over 2 % of the usual one
};

// Times in ticks of the container's clock, rising. A container that rounds times to its tick (a millisecond in
// Matroska) makes a step wrong by up to one tick; such a step is neither a gap nor uneven, and the usual step is the
// mean of the steps within a tick of the median, so that 60 frames a second stay 60 and do not become 1000/17.
StepFacts study_steps(const std::vector<std::int64_t>& ticks);

// Frames that fit into the step beside the one that ends it.
std::int64_t missing_in(double step, double usual_step);

}  // namespace risetrace::clip
