// trace.csv read back, by the columns that hold every digit.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "path/path.h"

namespace risetrace::review {

// One a row that has them: frame, exact_s and, but of hops, exact_up_cm and exact_across_cm; up_raw_cm is not kept. In
// order of frames and of time. Fault result_unreadable: a column is missing, a cell is no number, rows out of order.
Result<std::vector<path::PathSample>> read_trace(const std::string& trace_csv, bool times_only);

}  // namespace risetrace::review
