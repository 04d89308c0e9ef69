// Plane to plane by a projective map.
// Hartley & Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. 2004, alg. 4.2 (normalised DLT) as the
// start, then Levenberg-Marquardt on the transfer error.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "base/geometry.h"

namespace risetrace::math {

// Row-major 3 x 3, defined up to scale and kept with the last element 1 where that is possible.
// Named `b_from_a`: it takes a point of frame a to frame b.
struct Homography {
  std::array<double, 9> h{1, 0, 0, 0, 1, 0, 0, 0, 1};

  [[nodiscard]] Point map(Point p) const;
  [[nodiscard]] std::optional<Homography> inverse() const;  // empty: singular
  // d(map)/d(p) at p, row-major 2 x 2: {dx/dx, dx/dy, dy/dx, dy/dy}.
  [[nodiscard]] std::array<double, 4> jacobian(Point p) const;
};

struct HomographyFit {
  Homography map;    // takes `from` to `to`
  double rms = 0.0;  // of the residual length per point, in the unit of `to`
};

// At least four pairs, no three of four on a line; empty where the system is degenerate.
std::optional<HomographyFit> fit_homography(const std::vector<Point>& from, const std::vector<Point>& to);

}  // namespace risetrace::math
