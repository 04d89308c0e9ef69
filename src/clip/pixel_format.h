// Which decoded pictures can be used as they are, and how. Inside of the reader.
#pragma once

#include <string>

#include "base/result.h"
#include "clip/frame.h"
#include "clip/libav_hold.h"

namespace risetrace::clip {

struct PixelKind {
  int bits = 8;
  bool chroma_420 = false;  // two chroma planes of half the size follow the luma
  bool full_range = false;  // by the format's own name (yuvj420p)
};

// Planar or semi-planar brightness first, 8 to 12 bits. Fault clip_unreadable naming the format.
Result<PixelKind> pixel_kind(int libav_format);

// Planes that point into `picture`.
void set_planes(Frame& frame, const AVFrame& picture, const PixelKind& kind, bool keep_chroma);

}  // namespace risetrace::clip
