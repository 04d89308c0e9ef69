// The farthest lunge that was held in a clip.
#pragma once

#include <optional>

#include "ankle/leg_angles.h"
#include "ankle/lunge.h"
#include "ankle/plane_map.h"
#include "base/result.h"
#include "model/angle_rules.h"

namespace risetrace::ankle {

struct LungeQuestion {
  std::optional<Point> toe_px;      // the shoe's tip in the first frame, upright pixels
  std::optional<double> wall_x_px;  // where the wall's near face meets the floor there
};

// Faults: no_lunge (the shank never leant so far from where it was least), leg_stickers_missing (a sticker was out of
// sight while the shank leant far, so that the greatest angle may have been missed).
Result<Lunge> judge_lunge(const LegAngles& angles, const LungeQuestion& question, const PlaneMap& map,
                          const model::AngleRules& rules);

// +1: the knee went to the right in the picture as it went down, -1: left. Of samples read with `forward` +1. Empty
// where the shank leans no farther at one time than at another, nor far at any.
std::optional<double> facing_of_lunge(const LegAngles& angles, const model::AngleRules& rules);

}  // namespace risetrace::ankle
