// A row a tracked frame, for a spreadsheet: RFC 4180 (CRLF line ends, one header row).
#pragma once

#include <string>

#include "measure/measurement.h"

namespace risetrace::report {

// frame,time_s,x_px,y_px,seen,fit,height_cm,height_raw_cm,across_cm,rep,shank_deg,knee_deg,exact_s,exact_up_cm,
// exact_across_cm. A cell is empty where the
// value is not known; where `seen` is 0 the position is the tracker's guess and the raw height and the way across are
// empty. Hops:
// frame,time_s,heel_x_px,heel_y_px,heel_seen,heel_up_cm,forefoot_x_px,forefoot_y_px,forefoot_seen,clearance_px,
// clearance_px_u,clearance_cm,in_contact,hop,exact_s; see HopSample. in_contact: 1, 0, or empty where it is not known.
// Lunges: frame,time_s,ankle_x_px,ankle_y_px,ankle_seen,knee_x_px,knee_y_px,knee_seen,shank_deg.
std::string trace_csv(const measure::Measurement& measurement);

}  // namespace risetrace::report
