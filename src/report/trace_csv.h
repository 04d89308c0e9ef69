// A row a tracked frame, for a spreadsheet: RFC 4180 (CRLF line ends, one header row).
#pragma once

#include <string>

#include "measure/measurement.h"

namespace risetrace::report {

// frame,time_s,x_px,y_px,seen,fit,height_cm,height_raw_cm,across_cm,rep. A cell is empty where the value is not known;
// where `seen` is 0 the position is the tracker's guess and the raw height and the way across are empty.
std::string trace_csv(const measure::Measurement& measurement);

}  // namespace risetrace::report
