// The decoder of a picture stream, set up for frame by frame reading. Inside of the reader.
#pragma once

#include "base/result.h"
#include "clip/demux.h"
#include "clip/libav_hold.h"

namespace risetrace::clip {

struct DecodeOptions {
  int threads = 0;            // 0: one a core, at most 4
  int reorder_depth = 0;      // pictures known to be held back, 0 where nothing is known
  bool smooth_blocks = true;  // as in ReadOptions
};

// Fault clip_unreadable.
Result<AvHold<AVCodecContext>> open_decoder(const Demuxer& demuxer, const DecodeOptions& options);

}  // namespace risetrace::clip
