// A scene file to a clip file and its truth beside it.
#pragma once

#include <filesystem>
#include <functional>

#include "base/result.h"
#include "model/read_models.h"

namespace risetrace::cli {

struct SynthClip {
  std::filesystem::path scene;
  std::filesystem::path clip;
  std::filesystem::path truth;  // the clip's name with .truth.json for its ending
  int frames = 0;
};

std::filesystem::path truth_path_of(const std::filesystem::path& clip);

// Renders `scene` to `clip` (container by its ending) and the truth beside it. Both are written aside and renamed when
// whole. `progress` (may be empty) gets 0 .. 1. Faults: option_wrong for the scene, cannot_write.
Result<SynthClip> render_clip(const std::filesystem::path& scene, const std::filesystem::path& clip,
                              const model::Models& models, const std::function<void(double)>& progress);

}  // namespace risetrace::cli
