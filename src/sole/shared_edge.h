// The sole's edge as all contacts of a clip show it together. Inside of sole/.
#pragma once

#include <vector>

#include "base/geometry.h"
#include "sole/shoe_piece.h"

namespace risetrace::sole {

// The shoe as it stood in one contact.
struct Stance {
  ShoePiece piece;  // its pixels are not needed
  Point moved_px;   // from where it stood in the first
};

// It is one shoe, so a column of its edge lies where most contacts saw it: the median of them, where at least half have
// that column. Fewer than three contacts: as they are. One piece a stance.
std::vector<ShoePiece> with_shared_edge(const std::vector<Stance>& stances);

}  // namespace risetrace::sole
