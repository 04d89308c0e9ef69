// A clip's frame as libswscale names it. Inside of report/.
#pragma once

extern "C" {
#include <libswscale/swscale.h>
}

#include "clip/frame.h"

namespace risetrace::report {

AVPixelFormat format_of(const clip::Frame& frame);  // AV_PIX_FMT_NONE for depths that no reader gives
// A frame does not say its colour matrix; by custom a small picture follows BT.601 and a large one BT.709.
int colour_matrix(const clip::Frame& frame);

inline constexpr int whole_colour = 1 << 16;  // contrast and saturation as they are, in libswscale's fixed point

}  // namespace risetrace::report
