#include "scale/scale_of_plane.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <string>
#include <unsupported/Eigen/LevenbergMarquardt>
#include <unsupported/Eigen/NumericalDiff>

namespace risetrace::scale {
namespace {

constexpr double tag_corner_u_px = 0.1;  // of a corner: edges, lens and encoder together (ours)
constexpr double quad_corner_u_px =
    0.6;                              // of one quad: the shadow at its foot and the shift of its edges stay in (ours)
constexpr double focal_log_u = 0.35;  // how far phones' focal lengths while filming differ from the usual (ours)

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
  for (int step = -120; step <= 120; ++step) {
    const double log_ratio = step / 100.0;
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

// What is fitted: the homography px from cm (last element 1) and the common shift of the edges. The perspective terms
// are kept in parts per metre, so that all parameters are of about one size.
struct PlaneFit {
  math::Homography px_from_cm;
  double shift_cm = 0.0;
  double rms_px = 0.0;
  double perspective_u_per_cm = 0.0;  // of the two perspective terms, root mean square
};

// A card is stood up facing the camera, more or less; without that, a small card's perspective is all noise and ruins
// the scale a forearm away from it. Standard deviations, ours: 6 degrees of tilt, and what they do to proportions and
// right angles.
constexpr double tilt_prior_rad = 0.10;
constexpr double shape_prior = 0.01;

struct PlaneResiduals : Eigen::DenseFunctor<double> {
  PlaneResiduals(const PlaneView& seen, double corner_px, double per_cm)
      : Eigen::DenseFunctor<double>(9, static_cast<int>(2 * seen.corners.size()) + 5),
        view(seen),
        corner_u_px(corner_px),
        perspective_prior_per_cm(per_cm) {}

  const PlaneView& view;
  double corner_u_px;
  double perspective_prior_per_cm;

  static math::Homography map_of(const Eigen::VectorXd& x) {
    return {{x(0), x(1), x(2), x(3), x(4), x(5), x(6) / 100, x(7) / 100, 1}};
  }

  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& out) const {
    const math::Homography map = map_of(x);
    Eigen::Index at = 0;
    for (const CornerSeen& c : view.corners) {
      const Point p = map.map({c.card_cm.x + x(8) * c.outward_cm.x, c.card_cm.y + x(8) * c.outward_cm.y});
      out(at++) = (p.x - c.px.x) / corner_u_px;
      out(at++) = (p.y - c.px.y) / corner_u_px;
    }
    const auto j = map.jacobian({0, 0});
    const double across = j[0] * j[0] + j[2] * j[2];
    const double up = j[1] * j[1] + j[3] * j[3];
    out(at++) = (across - up) / (across + up) / shape_prior;
    out(at++) = 2 * (j[0] * j[1] + j[2] * j[3]) / (across + up) / shape_prior;
    out(at++) = x(6) / 100 / perspective_prior_per_cm;
    out(at++) = x(7) / 100 / perspective_prior_per_cm;
    // One quad cannot tell its edges' shift from its size: there it stays at nothing.
    out(at) = x(8) / (view.corners.size() <= 4 ? 1e-6 : 0.1);
    return 0;
  }
};

// Least squares on the corners with those priors; MINPACK's Levenberg-Marquardt as Eigen has it.
std::optional<PlaneFit> fit_plane(const PlaneView& view, double corner_u_px, double usual_focal_px) {
  std::vector<Point> cm;
  std::vector<Point> px;
  for (const CornerSeen& c : view.corners) {
    cm.push_back(c.card_cm);
    px.push_back(c.px);
  }
  const auto free = math::fit_homography(cm, px);
  if (!free) return std::nullopt;
  const auto j = free->map.jacobian({0, 0});
  const double about_px_per_cm = std::sqrt(std::abs(j[0] * j[3] - j[1] * j[2]));
  if (!(about_px_per_cm > 0)) return std::nullopt;
  const double about_distance_cm = view.distance_m ? *view.distance_m * 100 : usual_focal_px / about_px_per_cm;
  const PlaneResiduals residuals(view, corner_u_px, tilt_prior_rad / about_distance_cm);
  Eigen::VectorXd x(9);
  for (int i = 0; i < 8; ++i) x(i) = free->map.h.at(static_cast<std::size_t>(i)) * (i >= 6 ? 100 : 1);
  x(8) = 0;
  Eigen::NumericalDiff<PlaneResiduals, Eigen::Central> slopes(residuals);
  Eigen::LevenbergMarquardt<Eigen::NumericalDiff<PlaneResiduals, Eigen::Central>> solver(slopes);
  solver.minimize(x);
  if (!x.allFinite()) return std::nullopt;

  PlaneFit fit;
  fit.px_from_cm = PlaneResiduals::map_of(x);
  fit.shift_cm = x(8);
  Eigen::VectorXd left(residuals.values());
  residuals(x, left);
  fit.rms_px = corner_u_px * std::sqrt(left.head(left.size() - 5).squaredNorm() / static_cast<double>(cm.size()));
  Eigen::MatrixXd jacobian(residuals.values(), 9);
  slopes.df(x, jacobian);
  const Eigen::MatrixXd covariance = (jacobian.transpose() * jacobian).ldlt().solve(Eigen::MatrixXd::Identity(9, 9));
  fit.perspective_u_per_cm = std::sqrt((covariance(6, 6) + covariance(7, 7)) / 2) / 100;
  return fit;
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
  const bool one_quad = view.corners.size() <= 4;
  const double usual_focal_px = std::max(view.picture_width_px, view.picture_height_px) / cards.usual_field_of_view;
  const double corner_u_px = one_quad ? quad_corner_u_px : tag_corner_u_px;
  const auto plane = fit_plane(view, corner_u_px, usual_focal_px);
  if (!plane) return std::nullopt;
  const math::Homography& px_from_cm = plane->px_from_cm;
  const auto inverse = px_from_cm.inverse();
  if (!inverse) return std::nullopt;
  const math::Homography cm_from_px = moved_to_sticker_plane(*inverse, view);
  const auto j = cm_from_px.jacobian(px_from_cm.map({0, 0}));
  const double cm2_per_px2 = std::abs(j[0] * j[3] - j[1] * j[2]);
  if (!(cm2_per_px2 > 0)) return std::nullopt;

  Scale scale;
  scale.cm_from_px = cm_from_px;
  scale.px_per_cm = 1 / std::sqrt(cm2_per_px2);
  scale.fit_rms_px = plane->rms_px;
  scale.perspective_u_per_cm = plane->perspective_u_per_cm;
  const double spread = spread_px(view.corners);
  const double count = static_cast<double>(view.corners.size());
  const double focal_px = likely_focal_px(px_from_cm, view, usual_focal_px, corner_u_px / spread);
  const Pose pose = pose_of(px_from_cm, view, focal_px);
  scale.tilt_deg = pose.tilt_deg;
  scale.distance_m = view.distance_m ? *view.distance_m : pose.distance_cm / 100;
  // A quad's own edges all shift together: with one quad their error does not average.
  const double from_fit = (one_quad ? corner_u_px : std::max(plane->rms_px, corner_u_px) / std::sqrt(count)) / spread;
  const double from_offset = cards.plane_offset_u_cm / (*scale.distance_m * 100);
  scale.px_per_cm_u = *scale.px_per_cm * std::hypot(from_fit, cards.print_scale_u, from_offset);
  constexpr double noted_lean_deg = 5.0;
  if (const double lean = lean_deg(px_from_cm); lean > noted_lean_deg) {
    scale.notes.push_back({"card-leans",
                           "The card leans by " + std::to_string(std::lround(lean)) +
                               " degrees in the picture: heights are taken along its upright edge, so it must "
                               "stand upright on the floor.",
                           std::nullopt});
  }
  return scale;
}

}  // namespace risetrace::scale
