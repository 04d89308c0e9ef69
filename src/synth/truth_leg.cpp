#include "synth/truth_leg.h"

#include "base/geometry.h"

namespace risetrace::synth {
namespace {

Point sum(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
Point beside_joint(const Sticker& sticker) { return {sticker.forward_cm, sticker.up_cm}; }

}  // namespace

TruthLeg truth_leg(const Scene& scene, const Motion& motion, const View& view, double shows_s) {
  const auto place_px = [&](Part part, Point at_cm) {
    const auto caught = view.caught([&](double t) { return motion.spot_cm(part, at_cm, t); }, shows_s);
    return caught ? view.upright_px(caught->stored_px) : Point{};
  };
  TruthLeg out;
  out.ankle_px = place_px(Part::shank, beside_joint(scene.stickers.ankle));
  out.knee_px = place_px(Part::thigh, beside_joint(scene.stickers.knee));
  out.hip_px = place_px(Part::thigh, sum(motion.leg().hip_point_cm(), beside_joint(scene.stickers.hip)));
  const auto heel = view.caught([&](double t) { return motion.heel_sticker_cm(t); }, shows_s);
  const Pose pose = motion.pose(heel ? heel->time_s : shows_s);
  out.shank_deg = pose.shank_lean_rad * deg_per_rad;
  out.knee_deg = (pose.shank_lean_rad - pose.thigh_lean_rad) * deg_per_rad;
  return out;
}

TruthLunges truth_lunges(const Scene& scene, const Motion& motion, const View& view) {
  TruthLunges out;
  out.tries = motion.lunges()->tries();
  out.standing_shank_deg = motion.lunges()->standing_shank_deg();
  const auto floor_px = [&](Point at_cm) {
    const auto px = view.stored_px(motion.leg().in_scene(at_cm), 0.0);
    return px ? view.upright_px(*px) : Point{};
  };
  const Point toe_cm = motion.leg().toe_tip_point_cm();
  out.toe_px = floor_px(toe_cm);
  out.toe_to_wall_cm = scene.movement.lunge->wall_cm;
  if (out.toe_to_wall_cm) out.wall_px = floor_px({toe_cm.x + *out.toe_to_wall_cm, 0.0});
  return out;
}

}  // namespace risetrace::synth
