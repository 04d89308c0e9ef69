// What a careful person checks and says about a camera that moved.
#pragma once

#include <optional>

#include "base/error.h"
#include "measure/measurement.h"

namespace risetrace::measure {

// Fault camera_lost where the camera's movement could not be followed for so long, while the set ran, that a rep may be
// missing. `measurement` has its camera and raises.
std::optional<Error> camera_lost_too_long(const Measurement& measurement);

// Notes: the camera moved and was taken out, by what; frames without a map; a card that moved by itself; nothing that
// shows whether the camera stood still.
void add_camera_notes(Measurement& measurement);

}  // namespace risetrace::measure
