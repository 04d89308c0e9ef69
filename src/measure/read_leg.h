// What the stickers of ankle, knee and hip add to a set of heel raises.
#pragma once

#include "measure/measurement.h"
#include "model/card.h"

namespace risetrace::measure {

// Fills `forward`, and where the leg's stickers were followed `angles` and `knee`. `measurement` has its track, leg,
// scale with cm_from_px, camera, path and raises.
void add_knee(Measurement& measurement, const model::Cards& cards);

}  // namespace risetrace::measure
