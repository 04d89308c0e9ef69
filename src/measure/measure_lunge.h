// One clip of a weight-bearing lunge in, one Measurement out.
#pragma once

#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "measure/measure_clip.h"

namespace risetrace::measure {

// As measure_clip, which calls it. An angle needs no centimetres: without a card the picture's upright is the vertical,
// with a note and a larger uncertainty. Of the Measurement it fills clip, asked, scale, camera, leg (ankle and knee),
// track (the knee's), angles, lunge, forward and notes. Faults besides those of measure_clip: leg_stickers_missing,
// no_lunge.
Result<Measurement> measure_lunge(const std::string& path, const model::Cards& cards, const MeasureOptions& options,
                                  const Watcher& watcher);

}  // namespace risetrace::measure
