// The clip again with what was measured drawn upon it.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "clip/frame.h"
#include "measure/measurement.h"

namespace risetrace::report {

// The clip's frames once more, in order, their colour kept; empty at the end.
using NextFrame = std::function<Result<std::optional<clip::Frame>>()>;

// H.264, upright, at most 1280 px on the long side and at most 60 pictures a second. Heel raises play at the speed of
// filming, hops at a quarter of it, so that up to 240 frames a second all are shown; the picture says so.
// Faults: cannot_write, stopped, clip_no_frames, and whatever `next_frame` reports. The file is whole only on success.
Outcome write_overlay(const std::string& path, const measure::Measurement& measurement, const NextFrame& next_frame,
                      const Watcher& watcher);

}  // namespace risetrace::report
