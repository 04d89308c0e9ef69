// How the shank leans over time in a clip of lunges.
#pragma once

#include <vector>

#include "synth/leg.h"
#include "synth/scene.h"

namespace risetrace::synth {

struct LungeTimes {
  double leaves_s = 0.0;
  double held_from_s = 0.0;
  double held_to_s = 0.0;  // the clip's end where it does not come back
  double back_s = 0.0;     // standing again
  double shank_deg = 0.0;
};

class LungeCourse {
 public:
  LungeCourse(const Scene& scene, const LegModel& leg);  // movement.lunge must be set

  [[nodiscard]] Pose pose(double time_s) const;
  [[nodiscard]] double heel_height_cm(double time_s) const;
  [[nodiscard]] const std::vector<LungeTimes>& tries() const { return times_; }
  [[nodiscard]] double standing_shank_deg() const;
  [[nodiscard]] double length_s() const { return length_s_; }

 private:
  // 0 standing .. 1 farthest forward, and of which try.
  struct Share {
    double share = 0.0;
    std::size_t of_try = 0;
  };
  [[nodiscard]] Share share_at(double time_s) const;

  LungeSpec spec_;
  const LegModel& leg_;
  std::vector<LungeTimes> times_;
  double length_s_ = 0.0;
};

// Through the tries and the standing after them.
double lunge_length_s(const Scene& scene);

}  // namespace risetrace::synth
