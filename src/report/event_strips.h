// The pictures about one touchdown and one take-off on the report page, in pt.
#pragma once

#include "measure/measurement.h"
#include "report/text.h"

namespace risetrace::report {

// What both strips take at this width where there is room enough; 0 where there are none.
double event_strips_height(const measure::Measurement& m, double width);
// Their pictures shrink where there is less room above `lowest`. Returns where they end.
double draw_event_strips(const Ink& ink, double x, double y, double width, double lowest,
                         const measure::Measurement& m);

}  // namespace risetrace::report
