// What a careful person checks and says about a camera that moved.
#pragma once

#include <optional>

#include "base/error.h"
#include "camera/view.h"
#include "measure/measurement.h"

namespace risetrace::measure {

// Notes: the camera moved and was taken out, by what; frames without a map; a card that moved by itself; nothing that
// shows whether the camera stood still.
void add_camera_notes(Measurement& measurement);

// Fault camera_lost where too few frames have a map for a sticker to be followed through them: what could not be found
// then is not the sticker's fault. Empty otherwise.
std::optional<Error> camera_to_blame(const camera::CameraPath& camera);

// Fault no_movement where the card stands on its side or its head in the picture: the heel then rises to a side, and is
// not looked for there. Empty without a card, or with one that stands.
std::optional<Error> turn_to_blame(const scale::Scale& scale);

// The sticker went to the sides more than up and down.
bool moves_sideways(const sticker::Track& track);

}  // namespace risetrace::measure
