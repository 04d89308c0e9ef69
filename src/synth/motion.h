// How the legs move, whatever the clip shows: the one place that knows raises from hops.
#pragma once

#include <optional>

#include "synth/hop_plan.h"
#include "synth/leg.h"
#include "synth/movement.h"
#include "synth/other_leg.h"

namespace risetrace::synth {

class Motion {
 public:
  explicit Motion(const Scene& scene);

  [[nodiscard]] const LegModel& leg() const { return leg_; }
  [[nodiscard]] Pose pose(double time_s) const;
  [[nodiscard]] Spot spot_cm(Part part, Point point_cm, double time_s) const {
    return leg_.spot_cm(part, point_cm, pose(time_s));
  }
  [[nodiscard]] Spot heel_sticker_cm(double time_s) const { return leg_.heel_sticker_cm(pose(time_s)); }
  // Of the heel sticker above its standing place.
  [[nodiscard]] double heel_height_cm(double time_s) const;
  [[nodiscard]] const MovementCourse& raises() const { return raises_; }
  // Null in a clip of heel raises.
  [[nodiscard]] const HopPlan* hops() const { return hops_ ? &*hops_ : nullptr; }
  // Null where the other leg stands still or is not there.
  [[nodiscard]] const OtherLeg* other() const { return other_ ? &*other_ : nullptr; }

 private:
  LegModel leg_;
  MovementCourse raises_;
  std::optional<HopPlan> hops_;
  std::optional<PoseTable> poses_;  // of hops
  std::optional<OtherLeg> other_;
  double standing_heel_cm_ = 0.0;
};

// Through the movement and the standing after it.
double movement_length_s(const Scene& scene);

}  // namespace risetrace::synth
