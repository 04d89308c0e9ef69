// The contract's rule for reps, counts and the set's end, applied to the true heights. Written from the contract alone:
// it shares nothing with the room that measures.
#pragma once

#include "model/raise_protocol.h"
#include "synth/movement.h"
#include "synth/truth.h"

namespace risetrace::synth {

// Reps that are not over by `clip_end_s` are left out. With fewer reps than the protocol's reference takes, the
// reference is the mean of those there are.
TruthSet expected_set(const MovementCourse& course, double clip_end_s, const model::RaiseProtocol& protocol);

}  // namespace risetrace::synth
