// White noise of a place, from its steps while it stood still.
#pragma once

#include <vector>

#include "sticker/track.h"

namespace risetrace::sticker {

inline constexpr double moved_px = 1.5;  // beyond what noise does to a still spot

// Standard deviation, up and down, px; slow sway falls out. Only frames in which the spot was fitted anew have their
// own. 0 where there are too few.
double scatter_px(const std::vector<TrackSample>& samples);

}  // namespace risetrace::sticker
