#include "scale/edges.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "math/statistics.h"

namespace risetrace::scale {
namespace {

std::optional<double> grey_at(const clip::Patch& patch, Point px) {
  const double x = px.x - patch.box.x0;
  const double y = px.y - patch.box.y0;
  if (!(x >= 0 && y >= 0 && x < patch.box.width - 1 && y < patch.box.height - 1)) return std::nullopt;
  const int column = static_cast<int>(x);
  const int row = static_cast<int>(y);
  const double fx = x - column;
  const double fy = y - row;
  const double top = patch.at(column, row) * (1 - fx) + patch.at(column + 1, row) * fx;
  const double bottom = patch.at(column, row + 1) * (1 - fx) + patch.at(column + 1, row + 1) * fx;
  return top * (1 - fy) + bottom * fy;
}

struct EdgePoint {
  Point px;
  double contrast = 0.0;
};

// Across a step, the area under the profile tells where the step is, whatever symmetric blur it went through.
std::optional<EdgePoint> edge_across(const clip::Patch& patch, Point middle, Point normal, const EdgeOptions& options) {
  constexpr double step = 0.5;
  const int half = static_cast<int>(std::lround(options.reach_px / step));
  std::vector<double> profile;
  for (int i = -half; i <= half; ++i) {
    const auto grey = grey_at(patch, {middle.x + normal.x * i * step, middle.y + normal.y * i * step});
    if (!grey) return std::nullopt;
    profile.push_back(*grey);
  }
  const std::size_t plateau = std::max<std::size_t>(2, profile.size() / 6);
  double low = 0;
  double high = 0;
  for (std::size_t i = 0; i < plateau; ++i) {
    low += profile[i] / static_cast<double>(plateau);
    high += profile[profile.size() - 1 - i] / static_cast<double>(plateau);
  }
  if (std::abs(high - low) < options.least_contrast) return std::nullopt;
  double area = -0.5;  // the trapezoid rule: the end samples count half, the high one's missing half is taken here
  for (std::size_t i = 0; i < profile.size(); ++i) {
    const double share = (profile[i] - low) / (high - low);
    area += i == 0 ? share / 2 : share;
  }
  const double at = (half - area) * step;
  if (std::abs(at) > options.reach_px * 0.8) return std::nullopt;
  return EdgePoint{{middle.x + normal.x * at, middle.y + normal.y * at}, high - low};
}

Line line_through(const std::vector<EdgePoint>& points, Point normal) {
  Eigen::Vector2d centre(0, 0);
  for (const EdgePoint& p : points) centre += Eigen::Vector2d(p.px.x, p.px.y);
  centre /= static_cast<double>(points.size());
  Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
  std::vector<double> contrasts;
  for (const EdgePoint& p : points) {
    const Eigen::Vector2d d = Eigen::Vector2d(p.px.x, p.px.y) - centre;
    spread += d * d.transpose();
    contrasts.push_back(p.contrast);
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> solver(spread);
  Eigen::Vector2d n = solver.eigenvectors().col(0);  // of the smaller eigenvalue: across the line
  if (n.x() * normal.x + n.y() * normal.y < 0) n = -n;
  const double rms = std::sqrt(std::max(0.0, solver.eigenvalues()(0)) / static_cast<double>(points.size()));
  return {n.x(), n.y(), n.dot(centre), rms, math::median(contrasts)};
}

// Points that the others do not support (a finger, a glint) are left out; empty where too few remain.
std::optional<std::vector<EdgePoint>> agreeing(std::vector<EdgePoint> points, std::size_t asked, Point normal) {
  for (int round = 0; round < 3; ++round) {
    if (points.size() * 10 < asked * 6 || points.size() < 4) return std::nullopt;
    const Line line = line_through(points, normal);
    std::vector<double> off;
    off.reserve(points.size());
    for (const EdgePoint& p : points) off.push_back(line.nx * p.px.x + line.ny * p.px.y - line.offset);
    const double limit = std::max(0.15, 3.0 * math::robust_sd(off));
    const double middle = math::median(off);
    std::vector<EdgePoint> kept;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (std::abs(off[i] - middle) <= limit && points[i].contrast * line.contrast > 0) kept.push_back(points[i]);
    }
    if (kept.size() == points.size()) break;
    points = std::move(kept);
  }
  if (points.size() * 10 < asked * 6 || points.size() < 4) return std::nullopt;
  return points;
}

}  // namespace

std::optional<Line> measure_edge(const clip::Patch& patch, Point a, Point b, const EdgeOptions& options) {
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  if (length < 6) return std::nullopt;
  const Point along{(b.x - a.x) / length, (b.y - a.y) / length};
  const Point normal{along.y, -along.x};  // left of a->b as seen with y down
  const auto asked = static_cast<std::size_t>(std::clamp(length * (1 - 2 * options.skip_share), 6.0, 60.0));
  std::vector<EdgePoint> points;
  for (std::size_t i = 0; i < asked; ++i) {
    const double t =
        options.skip_share + (1 - 2 * options.skip_share) * (static_cast<double>(i) + 0.5) / static_cast<double>(asked);
    const auto point = edge_across(patch, {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)}, normal, options);
    if (point) points.push_back(*point);
  }
  const auto kept = agreeing(points, asked, normal);
  if (!kept) return std::nullopt;
  return line_through(*kept, normal);
}

std::optional<Point> crossing(const Line& a, const Line& b) {
  const double determinant = a.nx * b.ny - a.ny * b.nx;
  if (std::abs(determinant) < 0.1) return std::nullopt;
  return Point{(a.offset * b.ny - a.ny * b.offset) / determinant, (a.nx * b.offset - a.offset * b.nx) / determinant};
}

std::optional<std::array<Point, 4>> measure_quad(const clip::Patch& patch, std::array<Point, 4> about,
                                                 const EdgeOptions& options, double* rms_px) {
  for (int round = 0; round < 2; ++round) {
    std::array<Line, 4> lines;
    double squares = 0;
    for (std::size_t i = 0; i < 4; ++i) {
      const auto line = measure_edge(patch, about.at(i), about.at((i + 1) % 4), options);
      if (!line) return std::nullopt;
      lines.at(i) = *line;
      squares += line->rms_px * line->rms_px;
    }
    for (std::size_t i = 0; i < 4; ++i) {  // corner i lies between the edge that ends there and the one that starts
      const auto corner = crossing(lines.at((i + 3) % 4), lines.at(i));
      if (!corner || std::hypot(corner->x - about.at(i).x, corner->y - about.at(i).y) > 3 * options.reach_px) {
        return std::nullopt;
      }
      about.at(i) = *corner;
    }
    if (rms_px != nullptr) *rms_px = std::sqrt(squares / 4);
  }
  return about;
}

Box box_around(const std::array<Point, 4>& quad, double margin_px) {
  const auto [left, right] = std::minmax_element(quad.begin(), quad.end(), [](Point a, Point b) { return a.x < b.x; });
  const auto [top, bottom] = std::minmax_element(quad.begin(), quad.end(), [](Point a, Point b) { return a.y < b.y; });
  const int x0 = static_cast<int>(std::floor(left->x - margin_px));
  const int y0 = static_cast<int>(std::floor(top->y - margin_px));
  return {x0, y0, static_cast<int>(std::ceil(right->x + margin_px)) - x0 + 1,
          static_cast<int>(std::ceil(bottom->y + margin_px)) - y0 + 1};
}

}  // namespace risetrace::scale
