// Which two of the spots in a clip of lunges are the stickers of knee and ankle.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "sticker/spot_track.h"

namespace risetrace::sticker {

struct ShankChoice {
  std::size_t ankle = 0;
  std::size_t knee = 0;
};

// Shank and both its stickers are one stiff piece that turns about the ankle: the knee's goes far, the ankle's hardly
// moves, and the distance of the two stays the same. Of several such pairs the stiffest; of those about as stiff the
// ones that look like stickers, and of these the longest. `least_turn_deg`: of the line from one to the other.
std::optional<ShankChoice> choose_shank(const std::vector<SpotTrack>& spots, double least_turn_deg);

}  // namespace risetrace::sticker
