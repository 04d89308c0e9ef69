// Where a person's corrections meet the measuring: before it, what it begins with; after it, what it found.
#pragma once

#include "base/result.h"
#include "measure/measure_clip.h"

namespace risetrace::measure {

// The places of the stickers and the scale as corrected. Fault corrections_wrong: not for this test, a forefoot without
// a heel.
Result<MeasureOptions> with_corrections(const MeasureOptions& options);

// The reps of `m.path` by the rules of `m.asked`, with the corrections and without: sets raises, and where there are
// corrections automatic, and in asked the rules as corrected. Faults: corrections_wrong.
Outcome find_raises(Measurement& m);

// The same of `m.contacts`; the hops themselves are judged later. Faults: corrections_wrong.
Outcome correct_contacts(Measurement& m);

}  // namespace risetrace::measure
