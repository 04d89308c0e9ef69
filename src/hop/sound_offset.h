// How much later the clip's sound is than its picture, from landings both heard and seen. Never taken to be zero: sound
// needs 2.9 ms for a metre, and a file may shift it by far more.
#pragma once

#include <optional>
#include <vector>

#include "base/note.h"
#include "beat/beats.h"
#include "hop/hops.h"
#include "model/hop_protocol.h"

namespace risetrace::hop {

struct SoundOffset {
  double ms = 0.0;    // positive: the sound is later
  double ms_u = 0.0;  // of the mean of the differences, and what all touchdowns and all blows have in common
  int landings = 0;   // that were heard and seen
  Notes notes;        // landings that the sound places elsewhere
};

// The place where differences heard - seen lie closest together, over all pairs less than `sound_offset_limit_ms` and
// 0.45 of a period apart. Empty where under half of the landings, or fewer than `least_hops`, agree on one.
std::optional<SoundOffset> find_sound_offset(const std::vector<Hop>& hops, const std::vector<beat::Thud>& thuds,
                                             double common_u_s, const model::HopProtocol& protocol);

}  // namespace risetrace::hop
