// What a foot cannot do between two frames. Inside of sole/.
#pragma once

#include <optional>
#include <vector>

#include "sole/clearance.h"

namespace risetrace::sole {

// How high the shoe's front is below the heel changes evenly, also where the front leaves the ground or lands: the foot
// turns, and heel and front come to rest together. Samples that leap out of line with those beside them were another
// thing taken for the shoe; they are marked unseen. `heel_up_px`: of the heel's sticker, one a sample, from any level;
// empty where it was not seen. `px_per_cm`: about.
void leave_out_leaps(std::vector<ClearanceSample>& samples, const std::vector<std::optional<double>>& heel_up_px,
                     double px_per_cm);

}  // namespace risetrace::sole
