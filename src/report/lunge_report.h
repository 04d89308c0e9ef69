// The report page on a lunge.
#pragma once

#include "measure/measurement.h"
#include "report/text.h"

namespace risetrace::report {

// From `y` down to the page's foot.
void draw_lunge(const Ink& ink, double y, const measure::Measurement& measurement);

}  // namespace risetrace::report
