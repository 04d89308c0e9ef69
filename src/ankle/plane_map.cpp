#include "ankle/plane_map.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/geometry.h"

namespace risetrace::ankle {
namespace {

using Matrix = std::array<double, 9>;  // row-major

Matrix product(const Matrix& a, const Matrix& b) {
  Matrix out{};
  for (std::size_t i = 0; i < 9; ++i) {
    for (std::size_t k = 0; k < 3; ++k) out.at(i) += a.at(3 * (i / 3) + k) * b.at(3 * k + i % 3);
  }
  return out;
}

enum class Axis { right, down, sight };

// Of a camera that is turned about one of its axes: K R K^-1 (Hartley & Zisserman, 2nd ed. 2004, 8.4.2).
math::Homography turned(Axis axis, double angle_deg, Point middle_px, double focal_px) {
  const double c = std::cos(angle_deg * rad_per_deg);
  const double s = std::sin(angle_deg * rad_per_deg);
  Matrix turn{c, -s, 0, s, c, 0, 0, 0, 1};
  if (axis == Axis::right) turn = {1, 0, 0, 0, c, -s, 0, s, c};
  if (axis == Axis::down) turn = {c, 0, s, 0, 1, 0, -s, 0, c};
  const Matrix to_px{focal_px, 0, middle_px.x, 0, focal_px, middle_px.y, 0, 0, 1};
  const Matrix from_px{1 / focal_px, 0, -middle_px.x / focal_px, 0, 1 / focal_px, -middle_px.y / focal_px, 0, 0, 1};
  return {product(product(to_px, turn), from_px)};
}

}  // namespace

PlaneMap::PlaneMap(const scale::Scale& scale, int width_px, int height_px, const model::Cards& cards,
                   const model::AngleRules& rules)
    : cm_from_px_(scale.cm_from_px), card_doubts_(scale.doubts) {
  const Point middle_px{(width_px - 1) / 2.0, (height_px - 1) / 2.0};
  const double focal_px = std::max(width_px, height_px) / cards.usual_field_of_view;
  turned_ = {turned(Axis::sight, rules.picture_level_u_deg, middle_px, focal_px),
             turned(Axis::down, cards.view.yaw_u_deg, middle_px, focal_px),
             turned(Axis::right, cards.view.pitch_u_deg, middle_px, focal_px)};
  axis_ = map(middle_px);
  distance_ = focal_px;
  if (!in_cm()) return;
  distance_ = scale.distance_m ? 100 * *scale.distance_m : focal_px / scale.px_per_cm.value_or(1.0);
}

Point PlaneMap::map(Point ref_px) const { return cm_from_px_ ? cm_from_px_->map(ref_px) : Point{ref_px.x, -ref_px.y}; }

Point PlaneMap::map_doubted(std::size_t doubt, Point ref_px) const {
  return by_card() ? card_doubts_[doubt].map(ref_px) : map(turned_[doubt].map(ref_px));
}

}  // namespace risetrace::ankle
