#include "synth/view.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "base/geometry.h"
#include "synth/hop_plan.h"

namespace risetrace::synth {
namespace {

constexpr double nearest_cm = 5.0;

// The radius, in focal lengths, up to which the distortion still grows with at least a tenth of its slope in the
// middle.
double turning_radius(const Camera& camera) {
  for (int step = 0; step < 1000; ++step) {
    const double r = step / 100.0;
    const double square = r * r;
    if (1.0 + square * (3.0 * camera.k1 + 5.0 * square * camera.k2) < 0.1) return r;
  }
  return 1e9;
}

double wave_of(const Sway& sway, double time_s) {
  return std::sin(2.0 * std::numbers::pi * sway.rate_hz * time_s + sway.phase_deg * rad_per_deg);
}

}  // namespace

View::View(const Scene& scene) : camera_(scene.camera), file_(scene.file) {
  const double distance_cm = camera_.distance_m * 100.0;
  focal_px_ = camera_.focal_px.value_or(camera_.px_per_cm * distance_cm);
  const double forward = scene.leg.facing == Facing::right ? 1.0 : -1.0;
  place_cm_ = {camera_.x_cm.value_or(scene.leg.x_cm + forward * 4.0), camera_.height_cm, distance_cm};
  stored_width_ = camera_.width_px;
  stored_height_ = camera_.height_px;
  if (file_.rotation_deg % 180 != 0) std::swap(stored_width_, stored_height_);
  straight_from_ = turning_radius(camera_);
  if (scene.movement.hops) close_s_ = 1e-8;  // a hundred-thousandth of a pixel
  Camera steady = camera_;
  steady.sway.clear();
  std::swap(camera_.sway, steady.sway);
  still_turn_ = turn_at(0.0);
  if (camera_.floor_shake_px > 0.0 && scene.movement.hops) {
    const HopPlan plan(scene);
    for (const Landing& landing : plan.landings()) blows_s_.push_back(landing.touchdown_s);
  }
  std::swap(camera_.sway, steady.sway);
}

// Pan about the upright axis, then tilt, then roll about the line of sight: R = Ry(-pan) Rx(tilt) Rz(-roll).
View::Turn View::turn_at(double time_s) const {
  double pan = camera_.pan_deg * rad_per_deg;
  double tilt = camera_.tilt_deg * rad_per_deg;
  double roll = camera_.roll_deg * rad_per_deg;
  for (const Sway& sway : camera_.sway) {
    const double wave = wave_of(sway, time_s);
    pan -= std::atan(sway.x_px / focal_px_) * wave;  // turned left, the picture goes right
    tilt += std::atan(sway.y_px / focal_px_) * wave;
    roll += sway.roll_deg * rad_per_deg * wave;
  }
  if (!blows_s_.empty()) tilt += std::atan(shake_px(time_s) / focal_px_);
  const double cp = std::cos(pan);
  const double sp = -std::sin(pan);
  const double ct = std::cos(tilt);
  const double st = std::sin(tilt);
  const double cr = std::cos(roll);
  const double sr = -std::sin(roll);
  return {cp * cr + sp * st * sr,
          -cp * sr + sp * st * cr,
          sp * ct,  //
          ct * sr,
          ct * cr,
          -st,  //
          -sp * cr + cp * st * sr,
          sp * sr + cp * st * cr,
          cp * ct};
}

Spot View::place_at(double time_s) const {
  Spot place = place_cm_;
  for (const Sway& sway : camera_.sway) {
    const double wave = wave_of(sway, time_s);
    place.x += sway.right_cm * wave;
    place.y += sway.up_cm * wave;
    place.z += sway.back_cm * wave;
  }
  return place;
}

// Each blow starts a damped oscillation, the picture going down first; its first swing is scaled to the shift asked.
double View::shake_px(double time_s) const {
  const double rate = 2.0 * std::numbers::pi * camera_.floor_shake_hz;
  const double peak_s = std::atan(rate * camera_.floor_shake_decay_s) / rate;
  const double peak = std::exp(-peak_s / camera_.floor_shake_decay_s) * std::sin(rate * peak_s);
  const auto after = std::upper_bound(blows_s_.begin(), blows_s_.end(), time_s);
  double sum = 0.0;
  for (auto blow = after; blow != blows_s_.begin();) {
    const double since_s = time_s - *--blow;
    if (since_s > 12.0 * camera_.floor_shake_decay_s) break;  // under a hundred-thousandth
    sum += std::exp(-since_s / camera_.floor_shake_decay_s) * std::sin(rate * since_s);
  }
  return camera_.floor_shake_px * sum / peak;
}

std::optional<Point> View::stored_px(Spot spot_cm, double time_s) const {
  const Turn r = !moves() ? still_turn_ : turn_at(time_s);
  const Spot place = place_at(time_s);
  const double dx = spot_cm.x - place.x;
  const double dy = spot_cm.y - place.y;
  const double dz = spot_cm.z - place.z;
  const double depth = -(r[2] * dx + r[5] * dy + r[8] * dz);
  if (depth < nearest_cm) return std::nullopt;
  const double x = (r[0] * dx + r[3] * dy + r[6] * dz) / depth;
  const double y = -(r[1] * dx + r[4] * dy + r[7] * dz) / depth;
  const double bulge = focal_px_ * bulge_at(std::hypot(x, y));
  return stored_from_upright({(camera_.width_px - 1) / 2.0 + bulge * x, (camera_.height_px - 1) / 2.0 + bulge * y});
}

// Distorted over undistorted radius. Where the polynomial would soon turn back, it goes on straight, or what lies far
// outside the picture would be folded into it.
double View::bulge_at(double radius) const {
  const auto bent = [&](double r) { return r * (1.0 + r * r * (camera_.k1 + r * r * camera_.k2)); };
  if (radius <= straight_from_) return 1.0 + radius * radius * (camera_.k1 + radius * radius * camera_.k2);
  const double square = straight_from_ * straight_from_;
  const double slope = 1.0 + square * (3.0 * camera_.k1 + 5.0 * square * camera_.k2);
  return (bent(straight_from_) + slope * (radius - straight_from_)) / radius;
}

double View::row_delay_s(double stored_row) const {
  return camera_.readout_s * ((stored_row + 0.5) / stored_height_ - 0.5);
}

Point View::upright_px(Point stored_px) const {
  const double x = file_.mirrored ? stored_width_ - 1 - stored_px.x : stored_px.x;
  const double y = stored_px.y;
  switch (file_.rotation_deg) {
    case 90:
      return {stored_height_ - 1 - y, x};
    case 180:
      return {stored_width_ - 1 - x, stored_height_ - 1 - y};
    case 270:
      return {y, stored_width_ - 1 - x};
    default:
      return {x, y};
  }
}

Point View::stored_from_upright(Point upright_px) const {
  Point turned = upright_px;
  if (file_.rotation_deg == 90) turned = {upright_px.y, stored_height_ - 1 - upright_px.x};
  if (file_.rotation_deg == 180) turned = {stored_width_ - 1 - upright_px.x, stored_height_ - 1 - upright_px.y};
  if (file_.rotation_deg == 270) turned = {stored_width_ - 1 - upright_px.y, upright_px.x};
  if (file_.mirrored) turned.x = stored_width_ - 1 - turned.x;
  return turned;
}

std::optional<Spot> View::sight_on_plane(Point stored_px, double z_cm, double time_s) const {
  const Point px = upright_px(stored_px);
  const double bent_x = (px.x - (camera_.width_px - 1) / 2.0) / focal_px_;
  const double bent_y = (px.y - (camera_.height_px - 1) / 2.0) / focal_px_;
  double x = bent_x;
  double y = bent_y;
  for (int round = 0; round < 8 && (camera_.k1 != 0.0 || camera_.k2 != 0.0); ++round) {
    const double bulge = bulge_at(std::hypot(x, y));
    x = bent_x / bulge;
    y = bent_y / bulge;
  }
  const Turn r = !moves() ? still_turn_ : turn_at(time_s);
  const Spot way{r[0] * x - r[1] * y - r[2], r[3] * x - r[4] * y - r[5], r[6] * x - r[7] * y - r[8]};
  const Spot place = place_at(time_s);
  const double steps = (z_cm - place.z) / way.z;
  if (!(steps > 0.0)) return std::nullopt;
  return Spot{place.x + steps * way.x, place.y + steps * way.y, z_cm};
}

}  // namespace risetrace::synth
