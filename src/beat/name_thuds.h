// From low beginnings to the blows that are handed on.
#pragma once

#include <vector>

#include "beat/beats.h"
#include "beat/onset.h"

namespace risetrace::beat {

// A blow's beginning is where its part from 160 to 640 Hz begins. A click of the beat so near that it would be taken
// for that: then the beginning is told by the lowest part, which follows as late as it does in the clip's other blows.
std::vector<Thud> thuds_of(const std::vector<LowOnset>& lows, const std::vector<Click>& clicks);

}  // namespace risetrace::beat
