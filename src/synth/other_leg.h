// The other leg of someone who hops: it hops too, or it is held up behind.
#pragma once

#include "synth/hop_motion.h"
#include "synth/leg_solver.h"
#include "synth/scene.h"

namespace risetrace::synth {

class OtherLeg {
 public:
  // The scene has hops and an other foot that hops or is held up. `poses` are those of the tested leg.
  OtherLeg(const Scene& scene, const HopPlan& plan, PoseTable poses);

  [[nodiscard]] const LegModel& leg() const { return leg_; }  // no stickers on it
  [[nodiscard]] Pose pose(double time_s) const;
  [[nodiscard]] double z_cm() const { return -spec_.behind_cm; }

 private:
  [[nodiscard]] Pose held_up(double time_s) const;
  [[nodiscard]] double put_down_share(double time_s) const;

  OtherFoot spec_;
  LegModel leg_;
  LegSolver solver_;
  HopPlan plan_;
  PoseTable poses_;
};

}  // namespace risetrace::synth
