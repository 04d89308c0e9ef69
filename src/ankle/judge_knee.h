// The knee's angle rep by rep, and whether it was held as asked.
#pragma once

#include "ankle/knee_set.h"
#include "ankle/leg_angles.h"
#include "ankle/plane_map.h"
#include "base/test_form.h"
#include "model/angle_rules.h"
#include "model/raise_protocol.h"
#include "raise/reps.h"

namespace risetrace::ankle {

// Straight: bent in no frame of the rep by more than the protocol's limit. Bent: the rep's mean between its two limits.
// A knee is said not to be held only where it misses a limit by more than the angle's own standard uncertainty.
KneeSet judge_knee(const LegAngles& angles, const raise::RepSet& set, Knee asked, const PlaneMap& map,
                   const model::RaiseProtocol& protocol, const model::AngleRules& rules);

}  // namespace risetrace::ankle
