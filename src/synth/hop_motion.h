// A plan of hops to poses of the leg.
//
// The body falls freely in the air. On the ground the leg shortens as under a half sine of force (Morin et al. 2005, J
// Appl Biomech 21:167, from memory, take the same force): by how much says their formula, partly in the ankle and for
// the rest in the knee. The shoe's lowest point is on the floor from touchdown to take-off, because the ball is placed
// by it and not the reverse. The heel sticker's height has no jump of speed at either event.
#pragma once

#include "synth/hop_plan.h"
#include "synth/leg.h"
#include "synth/pose.h"

namespace risetrace::synth {

// Poses at steps of at most a quarter of a millisecond within each stretch between two events; in between they are
// blended evenly, which errs by a few 1e-4 cm.
class PoseTable {
 public:
  void add(double time_s, const Pose& pose);  // in order of time
  // The first one before the table begins, the last one after it ends.
  [[nodiscard]] Pose at(double time_s) const;

 private:
  std::vector<double> times_s_;
  std::vector<Pose> poses_;
};

// Of the tested leg; standing before and after.
PoseTable hop_poses(const Scene& scene, const LegModel& leg, const HopPlan& plan);

// The clearance that the plan asks of the shoe's lowest point, cm above the floor; 0 in contact. With a soft leave of 0
// this is the parabola v t - g t^2 / 2 alone.
double planned_clearance_cm(const Scene& scene, const HopPlan& plan, double time_s);

// Evenly between two poses.
Pose blended_pose(const Pose& a, const Pose& b, double share);

}  // namespace risetrace::synth
