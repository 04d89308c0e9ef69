#include "scale/scale_of_plane.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace risetrace::scale {
namespace {

struct Pose {
  double tilt_deg = 0.0;
  double distance_cm = 0.0;
};

// Zhang 2000, IEEE Trans Pattern Anal Mach Intell 22:1330, section 3.1: the columns of K^-1 H are the plane's axes and
// its origin in the camera's frame, up to one scale.
Pose pose_of(const math::Homography& px_from_cm, const PlaneView& view, double field_of_view) {
  const double focal_px = std::max(view.picture_width_px, view.picture_height_px) / field_of_view;
  Eigen::Matrix3d h = Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>>(px_from_cm.h.data());
  Eigen::Matrix3d k;
  k << focal_px, 0, (view.picture_width_px - 1) / 2.0, 0, focal_px, (view.picture_height_px - 1) / 2.0, 0, 0, 1;
  const Eigen::Matrix3d m = k.inverse() * h;
  const double scale = (m.col(0).norm() + m.col(1).norm()) / 2;
  const Eigen::Vector3d place = m.col(2) / scale;
  const Eigen::Vector3d normal = m.col(0).cross(m.col(1)).normalized();
  const double cosine = std::clamp(std::abs(normal.dot(place.normalized())), 0.0, 1.0);
  return {std::acos(cosine) * 180 / M_PI, place.norm()};
}

// How far the points lie from their middle, root mean square.
double spread_px(const std::vector<Point>& points) {
  double x = 0;
  double y = 0;
  for (const Point& p : points) {
    x += p.x / static_cast<double>(points.size());
    y += p.y / static_cast<double>(points.size());
  }
  double sum = 0;
  for (const Point& p : points) sum += (p.x - x) * (p.x - x) + (p.y - y) * (p.y - y);
  return std::sqrt(sum / static_cast<double>(points.size()));
}

// A card behind the sticker's plane looks smaller than one in it: its centimetres shrink by D / (D + d).
math::Homography moved_to_sticker_plane(math::Homography cm_from_px, const PlaneView& view) {
  if (!view.distance_m || view.card_offset_cm == 0) return cm_from_px;
  const double distance_cm = *view.distance_m * 100;
  const double factor = distance_cm / (distance_cm + view.card_offset_cm);
  for (std::size_t i = 0; i < 6; ++i) cm_from_px.h.at(i) *= factor;
  return cm_from_px;
}

}  // namespace

std::optional<Scale> scale_of_plane(const PlaneView& view, const model::Cards& cards) {
  const auto fit = math::fit_homography(view.card_cm, view.px);
  if (!fit) return std::nullopt;
  const auto inverse = fit->map.inverse();
  if (!inverse) return std::nullopt;
  const math::Homography cm_from_px = moved_to_sticker_plane(*inverse, view);
  const auto j = cm_from_px.jacobian(fit->map.map({0, 0}));
  const double cm2_per_px2 = std::abs(j[0] * j[3] - j[1] * j[2]);
  if (!(cm2_per_px2 > 0)) return std::nullopt;

  const Pose pose = pose_of(fit->map, view, cards.usual_field_of_view);
  Scale scale;
  scale.cm_from_px = cm_from_px;
  scale.px_per_cm = 1 / std::sqrt(cm2_per_px2);
  scale.fit_rms_px = fit->rms;
  scale.tilt_deg = pose.tilt_deg;
  scale.distance_m = view.distance_m ? *view.distance_m : pose.distance_cm / 100;
  const double count = static_cast<double>(view.px.size());
  const double from_fit = fit->rms / (std::sqrt(count) * spread_px(view.px));
  const double from_offset = cards.plane_offset_u_cm / (*scale.distance_m * 100);
  scale.px_per_cm_u = *scale.px_per_cm * std::hypot(from_fit, cards.print_scale_u, from_offset);
  return scale;
}

}  // namespace risetrace::scale
