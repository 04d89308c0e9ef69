// How far the knee was bent over a set of heel raises. Degrees, 0 straight (leg_angles.h).
#pragma once

#include <optional>
#include <vector>

#include "base/note.h"

namespace risetrace::ankle {

// From the rep's start to its end. Empty where the stickers were seen in too few of its frames.
struct RepKnee {
  int n = 0;
  std::optional<double> mean_deg;
  std::optional<double> least_deg;
  std::optional<double> greatest_deg;
  std::optional<bool> held;  // as asked; empty where nothing was asked
};

struct KneeSet {
  std::vector<RepKnee> reps;  // all of the RepSet's, in order
  // Over the reps of the set, up to its end: the mean of their means, and the least and the greatest of any frame.
  std::optional<double> mean_deg;
  std::optional<double> mean_deg_u;  // of any of these angles: nearly all of it is the same through the clip
  std::optional<double> least_deg;
  std::optional<double> greatest_deg;
  // How much more it was bent at the last rep of the set than at the first, along a straight line through the reps'
  // means.
  std::optional<double> drift_deg;
  std::optional<double> drift_deg_u;
  Notes notes;
};

}  // namespace risetrace::ankle
