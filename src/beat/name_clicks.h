// From even grids to what is handed on: clicks with their times, accents, steps of the beat.
#pragma once

#include <vector>

#include "beat/beats.h"
#include "beat/grid.h"
#include "beat/onset.h"

namespace risetrace::beat {

// Of its first 3 ms in all bands, full scale being 0 dB.
double level_db(const Onset& onset);

// From the shapes of all clicks laid over one another, of the band most of them are in.
struct Attack {
  double shift_s = 0.0;  // its beginning less the place of the onsets
  double rise_s = 0.0;   // from there to its greatest power
};
Attack attack_of(const std::vector<const Onset*>& clicks, double slot_s);

// Evenly played music: its events go on sounding, and differ in strength from one to the next. Clicks are alike, but
// for accents, and are over within milliseconds; electronic beeps go on sounding, but are alike.
bool is_music(const Grid& grid, const std::vector<Onset>& onsets);

// Clearly stronger (4 dB) or brighter than most of its neighbours, eight on each side.
std::vector<bool> accents(const std::vector<const Onset*>& clicks);

// An event shared by two grids goes to the one whose beat it is: to the later, unless the accent comes one beat after.
void settle_shared(std::vector<Grid>& grids, const std::vector<Onset>& onsets, const std::vector<Event>& events);

// Bounds half a beat about the step; where two steps meet, midway between their nearest beats.
std::vector<BeatStep> steps_of(const std::vector<Grid>& grids);

// The beat changes continuously: several short runs, each following the one before at once with a slightly other tempo
// in the same direction, or bowed runs.
bool drifts(const std::vector<Grid>& grids);

}  // namespace risetrace::beat
