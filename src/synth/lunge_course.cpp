#include "synth/lunge_course.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/geometry.h"

namespace risetrace::synth {
namespace {

constexpr double bend_of_lean = 1.9;  // the knee bends so much more than the shank leans: the hip stays over the foot

double eased(double share) { return 0.5 - 0.5 * std::cos(std::numbers::pi * std::clamp(share, 0.0, 1.0)); }

std::vector<LungeTimes> times_of(const Scene& scene) {
  std::vector<LungeTimes> times;
  double now_s = scene.movement.lead_in_s;
  for (const LungeTry& wanted : scene.movement.lunge->tries) {
    LungeTimes out;
    out.shank_deg = wanted.shank_deg;
    out.leaves_s = now_s + wanted.pause_before_s;
    out.held_from_s = out.leaves_s + wanted.forward_s;
    out.held_to_s = out.held_from_s + wanted.hold_s;
    out.back_s = wanted.comes_back ? out.held_to_s + wanted.back_s : 1e9;
    now_s = wanted.comes_back ? out.back_s : out.held_to_s;
    times.push_back(out);
  }
  return times;
}

}  // namespace

double lunge_length_s(const Scene& scene) {
  const LungeTimes last = times_of(scene).back();
  const bool comes_back = scene.movement.lunge->tries.back().comes_back;
  return comes_back ? last.back_s + scene.movement.tail_s : last.held_to_s;
}

LungeCourse::LungeCourse(const Scene& scene, const LegModel& leg)
    : spec_(*scene.movement.lunge), leg_(leg), times_(times_of(scene)), length_s_(lunge_length_s(scene)) {}

LungeCourse::Share LungeCourse::share_at(double time_s) const {
  for (std::size_t i = 0; i < times_.size(); ++i) {
    const LungeTimes& now = times_[i];
    if (time_s < now.leaves_s) return {0.0, i};
    if (time_s < now.held_from_s) return {eased((time_s - now.leaves_s) / (now.held_from_s - now.leaves_s)), i};
    if (time_s <= now.held_to_s || !spec_.tries[i].comes_back) return {1.0, i};
    if (time_s < now.back_s) return {1.0 - eased((time_s - now.held_to_s) / (now.back_s - now.held_to_s)), i};
  }
  return {};
}

double LungeCourse::standing_shank_deg() const { return leg_.raised(0.0).shank_lean_rad / rad_per_deg; }

double LungeCourse::heel_height_cm(double time_s) const {
  const Share at = share_at(time_s);
  return at.share * spec_.tries[at.of_try].heel_rise_cm;
}

Pose LungeCourse::pose(double time_s) const {
  const Share at = share_at(time_s);
  Pose pose = leg_.raised(heel_height_cm(time_s));
  const double more_rad = at.share * (times_[at.of_try].shank_deg * rad_per_deg - pose.shank_lean_rad);
  pose.shank_lean_rad += more_rad;
  pose.thigh_lean_rad += more_rad * (1.0 - bend_of_lean);
  return pose;
}

}  // namespace risetrace::synth
