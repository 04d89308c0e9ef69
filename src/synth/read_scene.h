// JSON text to a Scene.
#pragma once

#include <string>

#include "base/result.h"
#include "synth/scene.h"

namespace risetrace::synth {

// Absent fields keep their defaults. Fault option_wrong names the field: one that is unknown, of the wrong kind or out
// of its range, or values that do not go together.
Result<Scene> read_scene(const std::string& json_text);

}  // namespace risetrace::synth
