// The parts of a scene file that speak of hops and of the beat.
#pragma once

#include "model/fields.h"
#include "synth/scene_hops.h"

namespace risetrace::synth {

using model::Fields;

void read_hops(Fields& in, HopSpec& hops);
void read_beat(Fields& in, BeatPlan& beat);

}  // namespace risetrace::synth
