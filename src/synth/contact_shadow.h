// The shadow of a shoe that comes and goes: dark and sharp under what touches, pale and wide under what is high.
#pragma once

#include <functional>

#include "synth/leg.h"
#include "synth/painter.h"

namespace risetrace::synth {

using PoseAt = std::function<Pose(double)>;

// On the floor under a leg that stands in the plane z = `z_cm`.
void draw_contact_shadow(const Scene& scene, const LegModel& leg, const PoseAt& pose_at, double z_cm, double time_s,
                         Painter& painter, LightPicture& into, RowSpans* touched);

}  // namespace risetrace::synth
