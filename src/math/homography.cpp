#include "math/homography.h"

#include <Eigen/Dense>
#include <cmath>

namespace risetrace::math {
namespace {

using Matrix = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;

Matrix matrix_of(const Homography& map) { return Eigen::Map<const Matrix>(map.h.data()); }

Homography homography_of(Matrix m) {
  if (std::abs(m(2, 2)) > 1e-12 * m.norm()) m /= m(2, 2);
  Homography out;
  Eigen::Map<Matrix>(out.h.data()) = m;
  return out;
}

// Moves the points' mean to the origin and their mean distance to sqrt(2): without it the system is badly conditioned.
Matrix normaliser(const std::vector<Point>& points) {
  Eigen::Vector2d centre(0, 0);
  for (const Point& p : points) centre += Eigen::Vector2d(p.x, p.y);
  centre /= static_cast<double>(points.size());
  double spread = 0;
  for (const Point& p : points) spread += std::hypot(p.x - centre.x(), p.y - centre.y());
  spread /= static_cast<double>(points.size());
  const double s = spread > 0 ? std::sqrt(2.0) / spread : 1.0;
  Matrix m;
  m << s, 0, -s * centre.x(), 0, s, -s * centre.y(), 0, 0, 1;
  return m;
}

Eigen::Vector3d homogeneous(Point p) { return {p.x, p.y, 1}; }

std::optional<Matrix> direct_linear(const std::vector<Point>& from, const std::vector<Point>& to) {
  const Matrix norm_from = normaliser(from);
  const Matrix norm_to = normaliser(to);
  Eigen::MatrixXd system(2 * static_cast<Eigen::Index>(from.size()), 9);
  for (std::size_t i = 0; i < from.size(); ++i) {
    const Eigen::Vector3d a = norm_from * homogeneous(from[i]);
    const Eigen::Vector3d b = norm_to * homogeneous(to[i]);
    const auto row = static_cast<Eigen::Index>(2 * i);
    system.row(row) << 0, 0, 0, -a.transpose(), b.y() * a.transpose();
    system.row(row + 1) << a.transpose(), 0, 0, 0, -b.x() * a.transpose();
  }
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(system, Eigen::ComputeFullV);
  if (svd.rank() < 8) return std::nullopt;
  const Eigen::VectorXd h = svd.matrixV().col(8);
  Matrix m;
  m << h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), h(8);
  m = norm_to.inverse() * m * norm_from;
  if (std::abs(m(2, 2)) < 1e-12 * m.norm()) return std::nullopt;
  return Matrix(m / m(2, 2));
}

double sum_of_squares(const Matrix& m, const std::vector<Point>& from, const std::vector<Point>& to) {
  const Homography map = homography_of(m);
  double sum = 0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    const Point p = map.map(from[i]);
    sum += (p.x - to[i].x) * (p.x - to[i].x) + (p.y - to[i].y) * (p.y - to[i].y);
  }
  return sum;
}

// Levenberg-Marquardt on the eight free elements; the residual is the distance in `to`.
void refine(Matrix& m, const std::vector<Point>& from, const std::vector<Point>& to) {
  double damping = 1e-6;
  double best = sum_of_squares(m, from, to);
  for (int iteration = 0; iteration < 20; ++iteration) {
    Eigen::Matrix<double, 8, 8> normal = Eigen::Matrix<double, 8, 8>::Zero();
    Eigen::Matrix<double, 8, 1> gradient = Eigen::Matrix<double, 8, 1>::Zero();
    for (std::size_t i = 0; i < from.size(); ++i) {
      const Eigen::Vector3d q = m * homogeneous(from[i]);
      const double px = q.x() / q.z();
      const double py = q.y() / q.z();
      Eigen::Matrix<double, 2, 8> j;
      j << from[i].x, from[i].y, 1, 0, 0, 0, -px * from[i].x, -px * from[i].y,  //
          0, 0, 0, from[i].x, from[i].y, 1, -py * from[i].x, -py * from[i].y;
      j /= q.z();
      normal += j.transpose() * j;
      gradient += j.transpose() * Eigen::Vector2d(to[i].x - px, to[i].y - py);
    }
    Eigen::Matrix<double, 8, 8> damped = normal;
    damped.diagonal() *= 1 + damping;
    const Eigen::Matrix<double, 8, 1> step = damped.ldlt().solve(gradient);
    Matrix trial = m;
    for (int k = 0; k < 8; ++k) trial(k / 3, k % 3) += step(k);
    const double sum = sum_of_squares(trial, from, to);
    if (!(sum < best)) {
      damping *= 10;
      if (damping > 1e6) return;
      continue;
    }
    const bool settled = best - sum < 1e-14 * best;
    m = trial;
    best = sum;
    damping /= 10;
    if (settled) return;
  }
}

}  // namespace

Point Homography::map(Point p) const {
  const double w = h[6] * p.x + h[7] * p.y + h[8];
  return {(h[0] * p.x + h[1] * p.y + h[2]) / w, (h[3] * p.x + h[4] * p.y + h[5]) / w};
}

std::optional<Homography> Homography::inverse() const {
  const Matrix m = matrix_of(*this);
  if (std::abs(m.determinant()) < 1e-14 * std::pow(m.norm(), 3)) return std::nullopt;
  return homography_of(m.inverse());
}

std::array<double, 4> Homography::jacobian(Point p) const {
  const double w = h[6] * p.x + h[7] * p.y + h[8];
  const Point q = map(p);
  return {(h[0] - q.x * h[6]) / w, (h[1] - q.x * h[7]) / w, (h[3] - q.y * h[6]) / w, (h[4] - q.y * h[7]) / w};
}

std::optional<HomographyFit> fit_homography(const std::vector<Point>& from, const std::vector<Point>& to) {
  if (from.size() != to.size() || from.size() < 4) return std::nullopt;
  std::optional<Matrix> m = direct_linear(from, to);
  if (!m) return std::nullopt;
  refine(*m, from, to);
  if (!m->allFinite()) return std::nullopt;
  return HomographyFit{homography_of(*m), std::sqrt(sum_of_squares(*m, from, to) / static_cast<double>(from.size()))};
}

}  // namespace risetrace::math
