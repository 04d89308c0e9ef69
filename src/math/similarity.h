// Shift, turn and change of size in a plane: what is left of a projective map where little else changes.
#pragma once

#include "base/geometry.h"

namespace risetrace::math {

// x' = a x - b y + shift.x, y' = b x + a y + shift.y. Named `b_from_a`, as Homography.
struct Similarity {
  double a = 1.0;
  double b = 0.0;
  Point shift;

  [[nodiscard]] Point map(Point p) const { return {a * p.x - b * p.y + shift.x, b * p.x + a * p.y + shift.y}; }
  [[nodiscard]] Similarity inverse() const {  // a and b must not both be 0
    const double square = a * a + b * b;
    const Similarity turned{a / square, -b / square, {}};
    const Point back = turned.map(shift);
    return {turned.a, turned.b, {-back.x, -back.y}};
  }
};

// One map after another: after(c_from_b, b_from_a) is c_from_a.
inline Similarity after(const Similarity& c_from_b, const Similarity& b_from_a) {
  return {c_from_b.a * b_from_a.a - c_from_b.b * b_from_a.b, c_from_b.a * b_from_a.b + c_from_b.b * b_from_a.a,
          c_from_b.map(b_from_a.shift)};
}

}  // namespace risetrace::math
