// What a careful person checks before believing a measurement: gaps and a stretched clock.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "measure/measurement.h"

namespace risetrace::measure {

inline constexpr double hideable_rep_s = 0.6;  // a shorter gap cannot hide a whole rise and fall

// Fault sticker_lost or camera_lost where nothing is known of the heel for so long, while the set ran, that a rep may
// be missing: the sticker was out of sight, or the camera's movement could not be followed, or one after the other;
// named is what was the larger part. A foot farther than the protocol's step_across_cm from where it mostly was has
// stepped away, and the set with it. `measurement` has its track, camera, path and raises.
std::optional<Error> lost_too_long(const Measurement& measurement);

// Fault no_movement where the heel rose and fell at a pace that only hops have.
std::optional<Error> pace_of_hops(const Measurement& measurement);

// "4 frames show the picture before again". Told only where the heel moved.
std::string repeated_in_words(const sticker::Track& track);

// Notes of this room's own: repeated and bridged frames, a small sticker, a pace that no one jumps to.
void add_notes(Measurement& measurement);

}  // namespace risetrace::measure
