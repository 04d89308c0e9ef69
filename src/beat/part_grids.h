// Where a grid ends and the next one begins.
//
// A run is grown with a wide tolerance, so that it may go on past its end over other sounds that happen to fall near
// its beats: a hopper who stays with the tempo before lands there for seconds. Here each end is looked at once more
// with the grid's own, narrow spread.
#pragma once

#include <vector>

#include "beat/evidence.h"
#include "beat/grid.h"

namespace risetrace::beat {

// Takes from both ends what does not bear the grid out: all beyond its strongest stretch, and what follows a gap and
// outweighs that gap by too little. What stands within it stays, covered clicks too. Fits the grid anew. At least four
// hits are left.
void cut_to_core(Grid& grid, const std::vector<Event>& events, const Evidence& evidence);

// Between each two neighbours, the border under which both together have the most evidence; each may take events that
// the other held, and such that nobody held. Neighbours may be left with one event in common, where the tempo changes
// on a beat. Fits them anew.
void part_neighbours(std::vector<Grid>& grids, const std::vector<Event>& events, const Evidence& evidence);

}  // namespace risetrace::beat
