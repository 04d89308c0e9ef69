// The heel sticker's height over time.
#pragma once

#include <vector>

#include "synth/scene.h"

namespace risetrace::synth {

// The reps of the scene, made by its rule where it lists none.
std::vector<RepSpec> planned_reps(const Scene& scene);

// When one rep happens, in scene time.
struct RepTimes {
  double leaves_s = 0.0;  // the rise begins
  double top_from_s = 0.0;
  double top_to_s = 0.0;
  double lands_s = 0.0;  // the descent ends, at the next rep's floor
  double height_cm = 0.0;
  double floor_before_cm = 0.0;
  double floor_after_cm = 0.0;
};

class MovementCourse {
 public:
  explicit MovementCourse(const Scene& scene);

  // Above standing; smooth, exact at any time, 0 before and after the set.
  [[nodiscard]] double height_cm(double time_s) const;
  [[nodiscard]] const std::vector<RepTimes>& reps() const { return reps_; }
  // Through the last rep and the standing after it.
  [[nodiscard]] double length_s() const { return length_s_; }

 private:
  Course course_;
  std::vector<RepTimes> reps_;
  double length_s_ = 0.0;
};

}  // namespace risetrace::synth
