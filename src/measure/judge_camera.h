// What a careful person checks and says about a camera that moved.
#pragma once

#include "measure/measurement.h"

namespace risetrace::measure {

// Notes: the camera moved and was taken out, by what; frames without a map; a card that moved by itself; nothing that
// shows whether the camera stood still.
void add_camera_notes(Measurement& measurement);

}  // namespace risetrace::measure
