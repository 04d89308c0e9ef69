// Who gets in the way: a hand over the sticker, someone walking through.
#pragma once

#include <vector>

#include "synth/motion.h"
#include "synth/painter.h"

namespace risetrace::synth {

// True where a hand or a walker is before the heel sticker's centre in this stored frame, at the instant `time_s` of
// the row that the sticker is on.
bool heel_covered(const Scene& scene, const Motion& motion, const View& view, int stored_frame, double time_s);

void draw_hands(const Scene& scene, const Motion& motion, int stored_frame, double time_s, Painter& painter,
                LightPicture& into, RowSpans* touched);
// Nothing outside the walker's time.
void draw_walker(const Scene& scene, double time_s, Painter& painter, LightPicture& into, RowSpans* touched);

}  // namespace risetrace::synth
