// What must hold of any reader of clips, whatever bytes it was given.
#pragma once

#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "clip/read_clip.h"

namespace risetrace::fuzz {

inline void demand(bool holds) {
  if (!holds) std::abort();
}

inline void look_at(const clip::Frame& frame) {
  const auto patch = upright_patch(frame, {frame.width_px - 8, frame.height_px - 8, 8, 8});
  for (const float grey : patch.grey) demand(grey >= 0.0F && grey < 256.0F);
  demand(!upright_picture(frame).grey.empty());
  for (const auto& plane : frame.chroma) {
    if (plane.data == nullptr) continue;
    volatile std::uint8_t corner = plane.data[(plane.height - 1) * plane.stride_bytes + plane.width - 1];
    (void)corner;
  }
}

// The first frames of a reader that was opened, or the fault that it was not with.
inline void look_through(Result<clip::ClipReader>& reader) {
  if (!reader) {
    const Fault fault = reader.error().fault;
    demand(fault == Fault::clip_unreadable || fault == Fault::clip_no_picture || fault == Fault::clip_too_large);
    return;
  }
  double last_s = -1.0;
  for (int i = 0; i < 20; ++i) {
    const auto frame = reader->next();
    if (!frame) {
      demand(frame.error().fault == Fault::clip_no_frames || frame.error().fault == Fault::clip_unreadable);
      break;
    }
    if (!*frame) break;
    demand(std::isfinite((*frame)->time_s) && (*frame)->time_s > last_s && (*frame)->number == i);
    last_s = (*frame)->time_s;
    look_at(**frame);
  }
  const double share = reader->share_read();
  demand(share >= 0.0 && share <= 1.0);
  const auto facts = reader->facts();
  demand(std::isfinite(facts.duration_s) && std::isfinite(facts.frame_rate_hz) && std::isfinite(facts.stretch));
}

}  // namespace risetrace::fuzz
