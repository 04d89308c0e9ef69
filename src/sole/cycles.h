// The heel's ups and downs while they happen: its lowest place in each contact and its highest in each flight.
#pragma once

#include <cstdint>
#include <optional>

namespace risetrace::sole {

// Of the heel between the ground and the top of a hop; sways of a standing person stay under it. Ours.
inline constexpr double least_swing_cm = 1.5;

struct Turn {
  bool high = false;  // the top of a flight; else the lowest place of a contact
  double time_s = 0.0;
  double up_px = 0.0;
};

// An extreme is certain once the heel has gone back by `share` of the largest swing so far, at least by `least_px`.
class CycleFinder {
 public:
  explicit CycleFinder(double least_px) : least_px_(least_px) {}
  // `up_px` grows upwards. The turn that became certain with this sample.
  std::optional<Turn> push(double time_s, double up_px);

 private:
  double least_px_;
  double largest_swing_px_ = 0.0;
  bool started_ = false;
  bool looking_for_high_ = true;
  Turn low_{false, 0, 0};
  Turn high_{true, 0, 0};
};

}  // namespace risetrace::sole
