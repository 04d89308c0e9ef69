// What a scene's fields must hold together.
#pragma once

#include <optional>
#include <string>

#include "synth/scene.h"

namespace risetrace::synth {

// The first contradiction, named by its field; empty for a scene that can be rendered.
std::optional<std::string> conflict_in(const Scene& scene);

}  // namespace risetrace::synth
