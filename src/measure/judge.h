// What a careful person checks before believing a measurement: gaps and a stretched clock.
#pragma once

#include <optional>

#include "base/error.h"
#include "measure/measurement.h"

namespace risetrace::measure {

inline constexpr double hideable_rep_s = 0.6;  // a shorter gap cannot hide a whole rise and fall

// `step_cm`: a foot farther than this from where it mostly was has stepped away, and the set with it.
// Fault sticker_lost where the sticker was out of sight for so long, while the set ran, that a rep may be missing.
std::optional<Error> lost_too_long(const sticker::Track& track, const path::Path& path, const raise::RepSet& set,
                                   double step_cm);

// Fault no_movement where the heel rose and fell at a pace that only hops have.
std::optional<Error> pace_of_hops(const Measurement& measurement);

// Notes of this room's own: repeated and bridged frames, a small sticker, a pace that no one jumps to.
void add_notes(Measurement& measurement);

}  // namespace risetrace::measure
