// A clip from front to back, once.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "camera/follow_camera.h"
#include "clip/read_ahead.h"
#include "measure/measurement.h"
#include "measure/see_frame.h"
#include "scale/find_scale.h"

namespace risetrace::measure {

// Tracker: push(frame, view) gives a Result.
template <typename Tracker>
struct Steps {
  camera::CameraFollower camera;
  scale::ScaleFinder card;
  Tracker tracker;
};

// Every frame goes to the camera, to the card and to the tracker.
template <typename Tracker>
Outcome read_through(clip::ReadAhead& reader, Steps<Tracker>& steps, const Watcher& watcher) {
  while (true) {
    if (watcher.stop()) return Error{Fault::stopped, "interrupted from the keyboard", ""};
    Result<std::optional<clip::Frame>> frame = reader.next();
    if (!frame) return frame.error();
    if (!*frame) return Done{};
    const camera::View view = see_frame(steps.camera, steps.card, **frame);
    if (const auto pushed = steps.tracker.push(**frame, view); !pushed) return pushed.error();
    watcher.tell("measuring", reader.share_read());
  }
}

// Fault clip_too_short.
inline Outcome long_enough(std::int64_t frames) {
  if (frames >= least_frames) return Done{};
  return Error{Fault::clip_too_short, "it has " + std::to_string(frames) + (frames == 1 ? " frame" : " frames"), ""};
}

}  // namespace risetrace::measure
