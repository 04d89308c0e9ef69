// Steps too short to be sure by themselves, beside steps that are.
//
// Five even events prove no beat: among a few hundred sounds some lie so. But a step that begins or ends on the beat of
// a sure neighbour has its first or last click given, and its clicks' level and scatter too, so that five are as much
// evidence as eight are alone.
#pragma once

#include <vector>

#include "beat/find_grids.h"
#include "beat/grid.h"

namespace risetrace::beat {

constexpr int least_short_hits = 5;

// Adds them to `grids`, which are in order and sure; short ones found may be neighbours of further ones. A short one
// may share its first or last event with its neighbour, as grids of find_grids() do. Nothing is added where there is
// none.
void add_short_steps(std::vector<Grid>& grids, const std::vector<Event>& events, const GridOptions& options = {});

}  // namespace risetrace::beat
