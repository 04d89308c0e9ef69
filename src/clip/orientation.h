// A container's display matrix as quarter turns. Inside of the reader.
#pragma once

#include <array>
#include <cstdint>

#include "clip/frame.h"

namespace risetrace::clip {

struct MatrixReading {
  Orientation orientation;
  bool exact = true;  // false: the matrix turns by something that is no quarter turn; the nearest one is given
};

// ISO/IEC 14496-12 section 6.2.2, row by row, as libav hands it out: a stored (p, q) is shown at (a p + c q, b p + d
// q).
MatrixReading read_matrix(const std::array<std::int32_t, 9>& matrix);

}  // namespace risetrace::clip
