// The decoder of a picture stream, set up for frame by frame reading. Inside of the reader.
#pragma once

#include "base/result.h"
#include "clip/demux.h"
#include "clip/libav_hold.h"

namespace risetrace::clip {

// `threads`: 0: one a core, at most 4. `reorder_depth`: pictures known to be held back, 0 where nothing is known.
// Fault clip_unreadable.
Result<AvHold<AVCodecContext>> open_decoder(const Demuxer& demuxer, int threads, int reorder_depth);

}  // namespace risetrace::clip
