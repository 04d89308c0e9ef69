// A weight-bearing lunge: how far the shank leans over a foot that stays on the floor.
#pragma once

#include <optional>

#include "base/note.h"

namespace risetrace::ankle {

// Degrees from the vertical, forwards positive. Uncertainties are standard ones.
struct Lunge {
  double shank_deg = 0.0;  // mean while it was held farthest forward
  double shank_deg_u = 0.0;
  double hold_from_s = 0.0;                  // the shank was within the hold's limit of that mean from here ...
  double hold_to_s = 0.0;                    // ... to here
  bool held = false;                         // for long enough to be called held
  std::optional<double> standing_shank_deg;  // at the clip's beginning; empty where it did not begin standing still
  std::optional<double> change_deg;          // from there
  std::optional<double> change_deg_u;        // a sticker off its landmark shifts both angles alike and falls out
  std::optional<double> ankle_rise_cm;       // of the ankle's sticker, from standing to the hold; empty without a scale
  std::optional<double> ankle_forward_cm;
  std::optional<double> toe_to_wall_cm;  // only where both were pointed out, and there is a scale
  std::optional<double> toe_to_wall_cm_u;
  Notes notes;

  [[nodiscard]] double held_s() const { return hold_to_s - hold_from_s; }
};

}  // namespace risetrace::ankle
