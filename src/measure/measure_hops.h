// One hop clip in, one Measurement out.
#pragma once

#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "measure/measure_clip.h"

namespace risetrace::measure {

// As measure_clip, which calls it. Without a card the times are given all the same. Faults besides those of
// measure_clip: no_hop where nothing hopped.
Result<Measurement> measure_hops(const std::string& path, const model::Cards& cards, const MeasureOptions& options,
                                 const Watcher& watcher);

// Frames about the touchdown and the take-off of one counted hop, cut out round the shoe, into `measurement`. Reads the
// clip again from its beginning up to that hop. Nothing is filled where no hop has both.
Outcome add_event_strips(Measurement& measurement, const std::string& path, const clip::ReadOptions& read);

}  // namespace risetrace::measure
