// A regular grid, time = offset + beat x period, through events that were picked for it; and who struck it.
#pragma once

#include <vector>

#include "beat/grid.h"

namespace risetrace::beat {

// How much likelier, as a logarithm, these events are if a machine struck the beat (off by a millisecond at most) than
// if a person moved to it (off by 4 ms or more, as the nearest events about the beats are): a hopper lands so evenly
// that chance alone would not explain it. Every spacing of hops varies by 1.4 % or more (domain: rebound timing).
double evidence_of_machine(const Grid& grid, const std::vector<Event>& events);

// The line through the hits, least squares with Huber's weights so that a stray hit pulls little; all fields but hits
// and evidence are set from it. `grid.hits` holds at least three.
void fit_grid(Grid& grid, const std::vector<Event>& events);

}  // namespace risetrace::beat
