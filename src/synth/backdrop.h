// All that stands still: wall, floor, cards, the other foot.
#pragma once

#include <vector>

#include "synth/painter.h"
#include "synth/photo.h"
#include "synth/placed_card.h"

namespace risetrace::synth {

// Fills the whole picture. The cards' geometry comes from `cards`; `photo` may be null.
void draw_backdrop(const Scene& scene, const model::Cards& cards, const Photo* photo, double time_s, Painter& painter,
                   LightPicture& into);

// One card alone.
void draw_card(const PlacedCard& card, const model::Cards& cards, double time_s, Painter& painter, LightPicture& into);

}  // namespace risetrace::synth
