// How sure the instants of a set are.
#pragma once

#include "measure/measurement.h"
#include "model/card.h"

namespace risetrace::measure {

// Fills start_s_u, peak_s_u, end_s_u of each rep and the set end's t_s_u. An instant is where the smoothed height
// crosses a level: the noise of height and level over the slope there, the curve between two frames drawn straight, and
// the unknown readout of a rolling shutter, which reads the sticker's row before or after the picture's middle one
// (`readout_most_s`, models/cards.json). Empty where the
// sticker came in sight, or went out of it, within the rep, and where it was not seen about the instant, which is then
// only bridged; of the peak also where it was not seen at the sides of the top. Not in it: a clock that the file states
// wrongly.
void add_time_uncertainties(Measurement& measurement, const model::ViewPriors& priors);

}  // namespace risetrace::measure
