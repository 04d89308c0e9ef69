// How sure a place pointed out in the picture is, as models/hand-marks.json says.
#pragma once

namespace risetrace::model {

struct HandMarks {
  double pointing_u_px = 0.0;  // standard uncertainty of one point along one axis
  double length_u_cm = 0.0;    // of a stated length, where nothing else is stated
};

}  // namespace risetrace::model
