// What the clicks of one grid have in common, and whether an event is like them.
#pragma once

#include <vector>

#include "beat/evidence.h"
#include "beat/grid.h"

namespace risetrace::beat {

struct Likeness {
  double spread_s = 0.0;         // of the hits about the grid, by their median so that a few strays do not widen it
  double level_db = 0.0;         // middle of their own power
  double level_spread_db = 0.0;  // robust standard deviation of it
};

// Both spreads are kept within what a machine's beat has.
Likeness likeness_of(const Grid& grid, const std::vector<Event>& events);

// Logarithm of how much likelier the event is as this grid's click at `beat_s` than as another event: less where it is
// louder or softer than the grid's clicks by more than an accent; not less than a miss takes, for it may be a click
// that another sound covers.
double weight_of(std::size_t event, double beat_s, const Likeness& like, const std::vector<Event>& events,
                 const Evidence& evidence);

}  // namespace risetrace::beat
