// The parts of a scene file that speak of hops and of the beat.
#pragma once

#include "synth/fields.h"
#include "synth/scene_hops.h"

namespace risetrace::synth {

void read_hops(Fields& in, HopSpec& hops);
void read_beat(Fields& in, BeatPlan& beat);

}  // namespace risetrace::synth
