// The table of reps on the report page, in two or three columns side by side.
#pragma once

#include "measure/measurement.h"
#include "report/text.h"

namespace risetrace::report {

// Height in pt that the table of so many reps takes.
double table_height(std::size_t reps);
void draw_table(const Ink& ink, double x, double y, double width, const raise::RepSet& set);

}  // namespace risetrace::report
