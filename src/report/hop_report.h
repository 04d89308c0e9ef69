// The part of the report page that tells of hops.
#pragma once

#include "measure/measurement.h"
#include "report/text.h"

namespace risetrace::report {

// From `y` down to the page's foot.
void draw_hops(const Ink& ink, double y, const measure::Measurement& m);

}  // namespace risetrace::report
