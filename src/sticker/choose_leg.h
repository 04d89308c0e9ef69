// Which of the spots that go with a raising heel are the stickers of ankle, knee and hip.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "sticker/track.h"

namespace risetrace::sticker {

struct LegCandidate {
  std::span<const TrackSample> samples;
  double radius_px = 0.0;
  double look_score = 0.0;  // the greater, the more like a sticker
  double rise_px = 0.0;     // its greatest rise so far, in the reference view
};

struct LegChoice {
  std::size_t ankle = 0;  // in `others`
  std::size_t knee = 0;
  std::size_t hip = 0;
  bool doubtful = false;  // other spots form a leg about as well
};

// All three or none. They rise and fall with the heel; the ankle's is a few centimetres above it; knee above ankle and
// hip above knee at about the same distance (shank and thigh differ by a few percent, Winter, Biomechanics and Motor
// Control of Human Movement, from memory), the shank not far from upright, the knee not bent beyond a right angle. Of
// several such, those that look most like stickers, and of these the longest.
std::optional<LegChoice> choose_leg(const LegCandidate& heel, const std::vector<LegCandidate>& others);

// What to say of a doubtful choice.
Note leg_doubtful();

}  // namespace risetrace::sticker
