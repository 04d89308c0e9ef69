// The true angles of the leg, and where its joints are in the picture.
#pragma once

#include "synth/motion.h"
#include "synth/truth.h"
#include "synth/view.h"

namespace risetrace::synth {

TruthLeg truth_leg(const Scene& scene, const Motion& motion, const View& view, double shows_s);
// The scene shows lunges.
TruthLunges truth_lunges(const Scene& scene, const Motion& motion, const View& view);

}  // namespace risetrace::synth
