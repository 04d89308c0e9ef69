// Which frames a clip has, and when each was exposed.
#pragma once

#include <vector>

#include "synth/scene.h"

namespace risetrace::synth {

struct FrameTime {
  int number = 0;        // by even pace; drops leave holes
  double time_s = 0.0;   // what the file says: the middle of the exposure of the middle row
  double shows_s = 0.0;  // when what it shows was exposed; earlier than time_s for a repeated frame
  bool repeated = false;
};

std::vector<FrameTime> frame_times(const Scene& scene);

// Seconds in the file per second of filming.
double stretch_of(const Scene& scene);

}  // namespace risetrace::synth
