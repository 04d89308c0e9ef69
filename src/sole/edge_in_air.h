// Where the sole's edge is, from frames in which the shoe is in the air and its shadow is not. Inside of sole/.
//
// What belongs to the shoe goes along with it, what belongs to the floor stays behind: each pixel of the standing
// picture is looked for where it would have gone, and held against the bare floor there.
#pragma once

#include <vector>

#include "base/geometry.h"
#include "sole/shoe_piece.h"
#include "sole/strip.h"

namespace risetrace::sole {

struct SeenPiece {
  const Strip* strip = nullptr;
  Pose pose;
};

// Whether what lies between the edges of two pieces cut from one picture moves with the upper one.
bool goes_along(const ShoePiece& upper, const ShoePiece& lower, const Ground& ground,
                const std::vector<SeenPiece>& seen);

// The edge of the shoe as it stands, one point a column, from a piece's edge that may lie up to
// 13 mm too low (a shadow's, ahead of the toes or under a toe that curls up) or 3 mm too high. Columns that stay behind
// are left out; so are those of which nothing tells, unless there is little else.
std::vector<Point> edge_that_goes_along(const ShoePiece& piece, const Ground& ground,
                                        const std::vector<SeenPiece>& seen, const PieceWhere& where);

}  // namespace risetrace::sole
