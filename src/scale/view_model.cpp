#include "scale/view_model.h"

#include <algorithm>
#include <cmath>

namespace risetrace::scale {
namespace {

using Eigen::AngleAxisd;
using Eigen::Matrix3d;
using Eigen::Vector3d;

// From the sticker's plane to the camera. Yaw: its right side goes away from the camera; pitch: its top does.
Matrix3d camera_from_plane(const View& view) {
  const Matrix3d turned = (AngleAxisd(-view.roll, Vector3d::UnitZ()) * AngleAxisd(-view.pitch, Vector3d::UnitX()) *
                           AngleAxisd(view.yaw, Vector3d::UnitY()))
                              .toRotationMatrix();
  return Vector3d(1, -1, -1).asDiagonal() * turned;
}

// From the card to the sticker's plane: rolled in its own plane, then leaned, then turned.
Matrix3d plane_from_card(const View& view) {
  return (AngleAxisd(view.turn, Vector3d::UnitY()) * AngleAxisd(-view.lean, Vector3d::UnitX()) *
          AngleAxisd(view.card_roll, Vector3d::UnitZ()))
      .toRotationMatrix();
}

Vector3d card_middle_in_camera(const View& view, Point centre) {
  const double depth = std::exp(view.log_depth);
  const double focal = std::exp(view.log_focal);
  return depth * Vector3d((view.middle_px.x - centre.x) / focal, (view.middle_px.y - centre.y) / focal, 1);
}

}  // namespace

Eigen::VectorXd View::as_vector() const {
  Eigen::VectorXd x(unknowns);
  x << yaw, pitch, roll, middle_px.x, middle_px.y, log_depth, log_focal, turn, lean, card_roll, offset_cm, print,
      stretch, edge_cm;
  return x;
}

View View::from_vector(const Eigen::VectorXd& x) {
  return {x(0), x(1), x(2), {x(3), x(4)}, x(5), x(6), x(7), x(8), x(9), x(10), x(11), x(12), x(13)};
}

std::vector<Point> to_picture(const View& view, Point centre, const std::vector<CornerSeen>& corners) {
  const Vector3d middle = card_middle_in_camera(view, centre);
  const Matrix3d axes = camera_from_plane(view) * plane_from_card(view);
  const double focal = std::exp(view.log_focal);
  std::vector<Point> out;
  out.reserve(corners.size());
  for (const CornerSeen& c : corners) {
    const double x = (1 + view.print) * (c.card_cm.x + view.edge_cm * c.outward_cm.x);
    const double y = (1 + view.print + view.stretch) * (c.card_cm.y + view.edge_cm * c.outward_cm.y);
    const Vector3d at = middle + axes.col(0) * x + axes.col(1) * y;
    const double u = at.x() / at.z();
    const double v = at.y() / at.z();
    const double scaled = focal * (1 + view.k1 * (u * u + v * v));
    out.push_back({centre.x + scaled * u, centre.y + scaled * v});
  }
  return out;
}

math::Homography straight_px_from_cm(const View& view, Point centre) {
  const Matrix3d axes = camera_from_plane(view);
  Matrix3d map;
  map << axes.col(0), axes.col(1), card_middle_in_camera(view, centre) + view.offset_cm * axes.col(2);
  const double focal = std::exp(view.log_focal);
  Matrix3d k;
  k << focal, 0, centre.x, 0, focal, centre.y, 0, 0, 1;
  map = k * map;
  map /= map(2, 2);
  math::Homography out;
  Eigen::Map<Eigen::Matrix<double, 3, 3, Eigen::RowMajor>>(out.h.data()) = map;
  return out;
}

double plane_depth_cm(const View& view, Point centre) {
  return (card_middle_in_camera(view, centre) + view.offset_cm * camera_from_plane(view).col(2)).z();
}

double card_tilt_deg(const View& view) {
  const Vector3d normal = camera_from_plane(view) * plane_from_card(view).col(2);
  return std::acos(std::clamp(std::abs(normal.z()), 0.0, 1.0)) * 180 / M_PI;
}

}  // namespace risetrace::scale
