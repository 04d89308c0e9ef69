// How the legs move, whatever the clip shows: the one place that knows raises, hops and lunges apart.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "synth/hop_plan.h"
#include "synth/leg.h"
#include "synth/lunge_course.h"
#include "synth/movement.h"
#include "synth/other_leg.h"

namespace risetrace::synth {

class Motion {
 public:
  explicit Motion(const Scene& scene);

  Motion(const Motion&) = delete;
  Motion& operator=(const Motion&) = delete;

  [[nodiscard]] const LegModel& leg() const { return leg_; }
  [[nodiscard]] Pose pose(double time_s) const;
  [[nodiscard]] Spot spot_cm(Part part, Point point_cm, double time_s) const {
    return leg_.spot_cm(part, point_cm, pose(time_s));
  }
  [[nodiscard]] Spot heel_sticker_cm(double time_s) const { return leg_.heel_sticker_cm(pose(time_s)); }
  // Of the heel sticker above its standing place.
  [[nodiscard]] double heel_height_cm(double time_s) const;
  [[nodiscard]] const MovementCourse& raises() const { return raises_; }
  // Null in a clip of anything else.
  [[nodiscard]] const HopPlan* hops() const { return hops_ ? &*hops_ : nullptr; }
  [[nodiscard]] const LungeCourse* lunges() const { return lunges_ ? &*lunges_ : nullptr; }
  // The knee moves otherwise than the ankle does.
  [[nodiscard]] bool bends_knee() const { return lunges_.has_value() || knee_bend_last_deg_.has_value(); }
  // Null where the other leg stands still or is not there.
  [[nodiscard]] const OtherLeg* other() const { return other_ ? &*other_ : nullptr; }

 private:
  [[nodiscard]] double knee_bend_deg(double time_s) const;

  LegModel leg_;
  MovementCourse raises_;
  double knee_bend_deg_ = 0.0;
  std::optional<double> knee_bend_last_deg_;
  std::optional<LungeCourse> lunges_;
  std::optional<HopPlan> hops_;
  std::optional<PoseTable> poses_;  // of hops
  std::optional<OtherLeg> other_;
  double standing_heel_cm_ = 0.0;
};

// Poses over a short while, for the many points of one drawing: at steps of half a millisecond, blended in between.
class PoseStrip {
 public:
  template <typename PoseAt>
  PoseStrip(const PoseAt& pose_at, double from_s, double to_s) : from_s_(from_s) {
    const int steps = static_cast<int>(std::ceil((to_s - from_s) / 0.0005));
    step_s_ = steps > 0 ? (to_s - from_s) / steps : 1.0;
    for (int i = 0; i <= steps; ++i) poses_.push_back(pose_at(from_s + i * step_s_));
  }
  [[nodiscard]] Pose at(double time_s) const {
    const double index = std::clamp((time_s - from_s_) / step_s_, 0.0, static_cast<double>(poses_.size() - 1));
    const auto before = static_cast<std::size_t>(index);
    if (before + 1 >= poses_.size()) return poses_.back();
    return blended_pose(poses_[before], poses_[before + 1], index - static_cast<double>(before));
  }

 private:
  double from_s_;
  double step_s_ = 1.0;
  std::vector<Pose> poses_;
};

// Through the movement and the standing after it.
double movement_length_s(const Scene& scene);

}  // namespace risetrace::synth
