// Which way the toes point in the picture.
#pragma once

#include <optional>

#include "path/path.h"
#include "raise/reps.h"
#include "sticker/leg_tracks.h"

namespace risetrace::ankle {

// From a set of heel raises: the heel turns up about the ball of the foot, which lies ahead of it and lower, so it goes
// forward on its way up (derived here: by at least its height above the ball over its distance behind it, some third,
// of its rise). +1 right, -1 left; empty where most reps do not agree, or go forward by less than a tenth of their
// height.
std::optional<double> facing_of_raises(const path::Path& path, const raise::RepSet& set);

// From ankle and heel stickers: the ankle bone lies ahead of the back of the heel. Empty where they are one above the
// other: nearer than a quarter of how far apart they are.
std::optional<double> facing_of_foot(const sticker::Track& heel, const sticker::Track& ankle);

}  // namespace risetrace::ankle
