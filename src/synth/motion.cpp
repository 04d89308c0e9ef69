#include "synth/motion.h"

namespace risetrace::synth {

Motion::Motion(const Scene& scene)
    : leg_(scene),
      raises_(scene),
      knee_bend_deg_(scene.leg.knee_bend_deg),
      knee_bend_last_deg_(scene.movement.knee_bend_last_deg) {
  if (scene.movement.lunge) lunges_.emplace(scene, leg_);
  if (!scene.movement.hops) return;
  hops_.emplace(scene);
  poses_ = hop_poses(scene, leg_, *hops_);
  standing_heel_cm_ = leg_.heel_sticker_cm(poses_->at(-1e9)).y;
  if (scene.other_foot && (scene.other_foot->hops || scene.other_foot->held_up)) other_.emplace(scene, *hops_, *poses_);
}

// Evenly from the first rep's start to the last one's end.
double Motion::knee_bend_deg(double time_s) const {
  if (!knee_bend_last_deg_ || raises_.reps().empty()) return knee_bend_deg_;
  const double from_s = raises_.reps().front().leaves_s;
  const double share = std::clamp((time_s - from_s) / (raises_.reps().back().lands_s - from_s), 0.0, 1.0);
  return knee_bend_deg_ + share * (*knee_bend_last_deg_ - knee_bend_deg_);
}

Pose Motion::pose(double time_s) const {
  if (poses_) return poses_->at(time_s);
  if (lunges_) return lunges_->pose(time_s);
  return leg_.raised(raises_.height_cm(time_s), knee_bend_deg(time_s));
}

double Motion::heel_height_cm(double time_s) const {
  if (lunges_) return lunges_->heel_height_cm(time_s);
  return poses_ ? heel_sticker_cm(time_s).y - standing_heel_cm_ : raises_.height_cm(time_s);
}

double movement_length_s(const Scene& scene) {
  if (scene.movement.lunge) return lunge_length_s(scene);
  return scene.movement.hops ? HopPlan(scene).length_s() : MovementCourse(scene).length_s();
}

}  // namespace risetrace::synth
