// The angles of one pose of the leg, and how sure they are.
#pragma once

#include "ankle/leg_angles.h"
#include "ankle/plane_map.h"
#include "math/uncertainty.h"

namespace risetrace::ankle {

// `forward`: +1 where the toes point right in the picture, -1 left.
double shank_deg(const PlaneMap& map, const LegPlaces& places, double forward);
// `places` has its hip.
double knee_deg(const PlaneMap& map, const LegPlaces& places, double forward);

using PoseAngle = double (*)(const PlaneMap&, const LegPlaces&, double);

// What each input that is the same through a clip does to such an angle, degrees per standard uncertainty: the map's
// doubts, then each sticker off its landmark along and across its limb, then each out of the plane. Always in the same
// order, so that effects of two poses may be subtracted: what a misplaced sticker adds to both falls out.
math::Effects pose_effects(PoseAngle angle, const PlaneMap& map, const LegPlaces& places, double forward,
                           const model::AngleRules& rules);

}  // namespace risetrace::ankle
