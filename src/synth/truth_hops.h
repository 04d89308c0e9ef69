// What a measurement of hops should find, from the plan.
#pragma once

#include "synth/motion.h"
#include "synth/truth.h"

namespace risetrace::synth {

// The scene has hops. `shows_s` is when what a frame shows was exposed.
TruthSole truth_sole(const Scene& scene, const Motion& motion, const View& view, double shows_s);
TruthHops truth_hops(const Scene& scene, const HopPlan& plan, const std::vector<TruthFrame>& frames);

}  // namespace risetrace::synth
