// What is known about a clip as a whole.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/note.h"

namespace risetrace::clip {

enum class FrameRateFrom { container, capture_tag, given };

struct ClipFacts {
  std::string file;         // name without folders
  std::string recorded_at;  // as the file says, ISO 8601, mostly UTC; empty: it does not
  std::string codec;        // libav's name: "h264"
  int width_px = 0;         // upright
  int height_px = 0;
  int rotation_deg = 0;  // clockwise turn that was applied to stand the picture up: 0, 90, 180, 270
  bool mirrored = false;
  std::int64_t frames = 0;     // shown; known exactly only after the last frame was read
  double duration_s = 0.0;     // of filming, from the first frame shown to the end of the last
  double frame_rate_hz = 0.0;  // at which it was filmed: 1 / median step between frames
  FrameRateFrom frame_rate_from = FrameRateFrom::container;
  double stretch = 1.0;  // seconds in the file per second of filming; 8 for 240 fps stored as 30
  bool timing_irregular = false;
  std::int64_t frames_missing = 0;  // gaps in time that a whole number of frames would fill
  std::int64_t steps_zero = 0;      // frames that came at or before the time of the one before; they are left out
  Notes notes;
};

}  // namespace risetrace::clip
