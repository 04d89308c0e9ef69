// A still picture as a camera sees it that the floor shakes.
#pragma once

#include "synth/raster.h"
#include "synth/view.h"

namespace risetrace::synth {

// `still` is drawn without the shake. Each stored row is moved by the shake at its own instant, with cubic weights
// (Catmull & Rom 1974, from memory); a shake is so small that the whole picture moves alike, to a few hundredths of it.
// `time_s` is the middle row's.
void shake(const LightPicture& still, const View& view, double time_s, LightPicture& into);

// Long before any landing: nothing shakes yet.
inline constexpr double before_all_s = -1e6;

}  // namespace risetrace::synth
