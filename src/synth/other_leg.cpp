#include "synth/other_leg.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/geometry.h"

namespace risetrace::synth {
namespace {

// Held up: how the leg hangs, and how it swings a little.
constexpr double thigh_lean_rad = -4 * rad_per_deg;
constexpr double shank_lean_rad = 78 * rad_per_deg;
constexpr double foot_turn_rad = 96 * rad_per_deg;
constexpr double swing_rad = 4 * rad_per_deg;
constexpr double swing_hz = 1.3;
// In a stumble it comes down and goes up again between these shares of the time on the ground.
constexpr double down_from = 0.10;
constexpr double down_at = 0.35;
constexpr double up_from = 0.65;
constexpr double up_at = 0.95;

Scene without_stickers(const Scene& scene) {
  Scene other = scene;
  other.leg.x_cm = scene.other_foot->x_cm;
  for (Sticker* sticker : {&other.stickers.heel, &other.stickers.forefoot, &other.stickers.ankle, &other.stickers.knee,
                           &other.stickers.hip}) {
    sticker->absent = true;
  }
  return other;
}

double eased(double share) {
  const double s = std::clamp(share, 0.0, 1.0);
  return s * s * (3 - 2 * s);
}

}  // namespace

OtherLeg::OtherLeg(const Scene& scene, const HopPlan& plan, PoseTable poses)
    : spec_(*scene.other_foot), leg_(without_stickers(scene)), solver_(leg_), plan_(plan), poses_(std::move(poses)) {}

Pose OtherLeg::pose(double time_s) const { return spec_.hops ? poses_.at(time_s - spec_.lag_s) : held_up(time_s); }

double OtherLeg::put_down_share(double time_s) const {
  for (const Landing& landing : plan_.landings()) {
    if (landing.kind != HopKind::stumble || time_s < landing.touchdown_s || time_s > landing.takeoff_s) continue;
    const double share = (time_s - landing.touchdown_s) / (landing.takeoff_s - landing.touchdown_s);
    return eased((share - down_from) / (down_at - down_from)) - eased((share - up_from) / (up_at - up_from));
  }
  return 0.0;
}

// The hip is the tested leg's. On its way down the foot never goes through the floor.
Pose OtherLeg::held_up(double time_s) const {
  const Pose beside = poses_.at(time_s);
  const Point hip = solver_.hip_of(beside);
  Pose up;
  up.foot_turn_rad = up.toe_turn_rad = foot_turn_rad;
  up.thigh_lean_rad = thigh_lean_rad;
  up.shank_lean_rad = shank_lean_rad + swing_rad * std::sin(2 * std::numbers::pi * swing_hz * time_s);
  const Point hip_so_far = solver_.hip_of(up);
  up.ball_cm = {hip.x - hip_so_far.x, hip.y - hip_so_far.y};
  const double down = put_down_share(time_s);
  if (down <= 0) return up;
  Pose stands = leg_.raised(0.0);
  solver_.bend_to_hip(stands, hip);
  Pose out = blended_pose(up, stands, down);
  out.ball_cm.y -= std::min(0.0, leg_.lowest_of_shoe_cm(out).y);
  if (down < 1) solver_.bend_to_hip(out, hip);
  return out;
}

}  // namespace risetrace::synth
