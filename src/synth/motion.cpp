#include "synth/motion.h"

namespace risetrace::synth {

Motion::Motion(const Scene& scene) : leg_(scene), raises_(scene) {
  if (!scene.movement.hops) return;
  hops_.emplace(scene);
  poses_ = hop_poses(scene, leg_, *hops_);
  standing_heel_cm_ = leg_.heel_sticker_cm(poses_->at(-1e9)).y;
  if (scene.other_foot && (scene.other_foot->hops || scene.other_foot->held_up)) other_.emplace(scene, *hops_, *poses_);
}

Pose Motion::pose(double time_s) const { return poses_ ? poses_->at(time_s) : leg_.raised(raises_.height_cm(time_s)); }

double Motion::heel_height_cm(double time_s) const {
  return poses_ ? heel_sticker_cm(time_s).y - standing_heel_cm_ : raises_.height_cm(time_s);
}

double movement_length_s(const Scene& scene) {
  return scene.movement.hops ? HopPlan(scene).length_s() : MovementCourse(scene).length_s();
}

}  // namespace risetrace::synth
