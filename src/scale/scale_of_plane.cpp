#include "scale/scale_of_plane.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <string>

namespace risetrace::scale {
namespace {

constexpr double edge_shift_u_px = 0.2;  // of a single quad's edges, where the shift cannot be fitted (ours)
constexpr double focal_log_u = 0.35;     // how far phones' focal lengths while filming differ from the usual (ours)

struct Pose {
  double tilt_deg = 0.0;
  double distance_cm = 0.0;
};

// Zhang 2000, IEEE Trans Pattern Anal Mach Intell 22:1330, section 3.1: the columns of K^-1 H are the plane's axes and
// its origin in the camera's frame, up to one scale.
Eigen::Matrix3d axes_and_origin(const math::Homography& px_from_cm, const PlaneView& view, double focal_px) {
  const Eigen::Matrix3d h = Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>>(px_from_cm.h.data());
  Eigen::Matrix3d k;
  k << focal_px, 0, (view.picture_width_px - 1) / 2.0, 0, focal_px, (view.picture_height_px - 1) / 2.0, 0, 0, 1;
  return k.inverse() * h;
}

// At the true focal length the axes are of one length and square to each other (Zhang's two constraints). A card seen
// squarely says nothing about it, so the usual focal length stands beside them with its spread.
double likely_focal_px(const math::Homography& px_from_cm, const PlaneView& view, double usual_px, double angle_u) {
  double best = usual_px;
  double least = 1e300;
  for (double log_ratio = -1.2; log_ratio <= 1.2; log_ratio += 0.01) {
    const Eigen::Matrix3d m = axes_and_origin(px_from_cm, view, usual_px * std::exp(log_ratio));
    const double unequal = std::log(m.col(0).norm() / m.col(1).norm());
    const double oblique = m.col(0).dot(m.col(1)) / (m.col(0).norm() * m.col(1).norm());
    const double misfit = (unequal * unequal + oblique * oblique) / (angle_u * angle_u) +
                          log_ratio * log_ratio / (focal_log_u * focal_log_u);
    if (misfit < least) {
      least = misfit;
      best = usual_px * std::exp(log_ratio);
    }
  }
  return best;
}

Pose pose_of(const math::Homography& px_from_cm, const PlaneView& view, double focal_px) {
  const Eigen::Matrix3d m = axes_and_origin(px_from_cm, view, focal_px);
  const double scale = (m.col(0).norm() + m.col(1).norm()) / 2;
  const Eigen::Vector3d normal = m.col(0).cross(m.col(1)).normalized();
  return {std::acos(std::clamp(std::abs(normal.z()), 0.0, 1.0)) * 180 / M_PI, m.col(2).norm() / scale};
}

struct PlaneFit {
  math::HomographyFit fit;      // px from cm
  std::vector<Point> residual;  // px
};

std::optional<PlaneFit> fit_shifted(const PlaneView& view, double shift_cm) {
  std::vector<Point> cm;
  std::vector<Point> px;
  for (const CornerSeen& c : view.corners) {
    cm.push_back({c.card_cm.x + shift_cm * c.outward_cm.x, c.card_cm.y + shift_cm * c.outward_cm.y});
    px.push_back(c.px);
  }
  auto fit = math::fit_homography(cm, px);
  if (!fit) return std::nullopt;
  PlaneFit out{*fit, {}};
  for (std::size_t i = 0; i < cm.size(); ++i) {
    const Point p = fit->map.map(cm[i]);
    out.residual.push_back({px[i].x - p.x, px[i].y - p.y});
  }
  return out;
}

// The residuals are all but linear in the common shift of the edges: two fits give the slope, one more step the shift.
std::optional<PlaneFit> fit_plane(const PlaneView& view) {
  double shift_cm = 0;
  auto best = fit_shifted(view, shift_cm);
  if (!best || view.corners.size() <= 4) return best;
  constexpr double step_cm = 0.02;
  for (int round = 0; round < 2; ++round) {
    const auto beside = fit_shifted(view, shift_cm + step_cm);
    if (!beside) return best;
    double slope_squares = 0;
    double product = 0;
    for (std::size_t i = 0; i < best->residual.size(); ++i) {
      const double dx = (beside->residual[i].x - best->residual[i].x) / step_cm;
      const double dy = (beside->residual[i].y - best->residual[i].y) / step_cm;
      slope_squares += dx * dx + dy * dy;
      product += dx * best->residual[i].x + dy * best->residual[i].y;
    }
    if (slope_squares <= 0) return best;
    shift_cm = std::clamp(shift_cm - product / slope_squares, -0.2, 0.2);
    auto next = fit_shifted(view, shift_cm);
    if (!next || next->fit.rms > best->fit.rms) return best;
    best = next;
  }
  return best;
}

// How far the corners lie from their middle, root mean square.
double spread_px(const std::vector<CornerSeen>& corners) {
  const double count = static_cast<double>(corners.size());
  Point middle;
  for (const CornerSeen& c : corners) middle = {middle.x + c.px.x / count, middle.y + c.px.y / count};
  double sum = 0;
  for (const CornerSeen& c : corners) sum += std::pow(c.px.x - middle.x, 2) + std::pow(c.px.y - middle.y, 2);
  return std::sqrt(sum / count);
}

// A card behind the sticker's plane looks smaller than one in it: its centimetres shrink by D / (D + d).
math::Homography moved_to_sticker_plane(math::Homography cm_from_px, const PlaneView& view) {
  if (!view.distance_m || view.card_offset_cm == 0) return cm_from_px;
  const double distance_cm = *view.distance_m * 100;
  const double factor = distance_cm / (distance_cm + view.card_offset_cm);
  for (std::size_t i = 0; i < 6; ++i) cm_from_px.h.at(i) *= factor;
  return cm_from_px;
}

// By how much the card's upright edge leans in the picture, degrees.
double lean_deg(const math::Homography& px_from_cm) {
  const auto j = px_from_cm.jacobian({0, 0});
  return std::atan2(std::abs(j[1]), -j[3]) * 180 / M_PI;
}

}  // namespace

std::optional<Scale> scale_of_plane(const PlaneView& view, const model::Cards& cards) {
  const auto plane = fit_plane(view);
  if (!plane) return std::nullopt;
  const math::Homography& px_from_cm = plane->fit.map;
  const auto inverse = px_from_cm.inverse();
  if (!inverse) return std::nullopt;
  const math::Homography cm_from_px = moved_to_sticker_plane(*inverse, view);
  const auto j = cm_from_px.jacobian(px_from_cm.map({0, 0}));
  const double cm2_per_px2 = std::abs(j[0] * j[3] - j[1] * j[2]);
  if (!(cm2_per_px2 > 0)) return std::nullopt;

  Scale scale;
  scale.cm_from_px = cm_from_px;
  scale.px_per_cm = 1 / std::sqrt(cm2_per_px2);
  scale.fit_rms_px = plane->fit.rms;
  const double spread = spread_px(view.corners);
  const double count = static_cast<double>(view.corners.size());
  const double corner_u_px = std::hypot(std::max(plane->fit.rms, 0.05), count <= 4 ? edge_shift_u_px : 0.0);
  const double usual_focal_px = std::max(view.picture_width_px, view.picture_height_px) / cards.usual_field_of_view;
  const double focal_px = likely_focal_px(px_from_cm, view, usual_focal_px, corner_u_px / spread);
  const Pose pose = pose_of(px_from_cm, view, focal_px);
  scale.tilt_deg = pose.tilt_deg;
  scale.distance_m = view.distance_m ? *view.distance_m : pose.distance_cm / 100;
  // A quad's own edges all shift together: with one quad their error does not average.
  const double from_fit = count <= 4 ? corner_u_px / spread : corner_u_px / (std::sqrt(count) * spread);
  const double from_offset = cards.plane_offset_u_cm / (*scale.distance_m * 100);
  scale.px_per_cm_u = *scale.px_per_cm * std::hypot(from_fit, cards.print_scale_u, from_offset);
  constexpr double noted_lean_deg = 5.0;
  if (const double lean = lean_deg(px_from_cm); lean > noted_lean_deg) {
    scale.notes.push_back({"card-leans",
                           "the card leans by " + std::to_string(std::lround(lean)) +
                               " degrees in the picture: heights are taken along its upright edge, so it must "
                               "stand upright on the floor",
                           std::nullopt});
  }
  return scale;
}

}  // namespace risetrace::scale
