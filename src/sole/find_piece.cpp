#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "math/statistics.h"
#include "sole/shoe_piece.h"

namespace risetrace::sole {
namespace {

enum Parameter { right, down, turn, brightness, shade };
constexpr int parameters = 5;
using Vector = Eigen::Matrix<double, parameters, 1>;
using Normal = Eigen::Matrix<double, parameters, parameters>;

constexpr int most_iterations = 10;
constexpr double tukey = 4.7;  // standard deviations; 95 % efficient
constexpr double common_spread =
    5.0;  // by which rivals are compared: a median would forgive an edge in the wrong place
constexpr double first_spread = 10.0;  // wide at first, so that an edge some pixels off still pulls; halved each round
constexpr double least_seen = 0.6;
// Priors: a turn of the piece between the start and the answer, its shift sideways, its brightness, its shadow.
constexpr double turn_freedom_rad = 0.12;
constexpr double right_freedom_px = 4.0;
constexpr double brightness_freedom = 0.05;
constexpr double shade_freedom = 0.5;
constexpr double usual_shade = 0.9;

struct Look {
  double residual = 0.0;  // over the noise
  Vector slope = Vector::Zero();
  bool inside = false;
};

struct Scene {
  const ShoePiece& piece;
  const Strip& strip;
  const Plate& empty;
};

// What a frame shows where the piece's pixel would be, against what the two layers say.
Look look_at(const Scene& scene, const PiecePixel& pixel, const Vector& p, double c, double s, bool want_slope) {
  const double rx = c * pixel.dx - s * pixel.dy;
  const double ry = s * pixel.dx + c * pixel.dy;
  const double x = scene.piece.pivot_px.x + p[right] + rx;
  const double y = scene.piece.pivot_px.y + p[down] + ry;
  const Sampled seen = sample(scene.strip, x, y);
  if (!seen.inside) return {};
  const double through = 1.0 - pixel.cover;
  double behind = 0;
  double behind_x = 0;
  double behind_y = 0;
  if (through > 0.02) {
    const Sampled b = sample(scene.empty, x, y);
    if (!b.inside || std::isnan(b.grey) || std::isnan(b.slope_x) || std::isnan(b.slope_y)) return {};
    behind = b.grey;
    behind_x = b.slope_x;
    behind_y = b.slope_y;
  }
  Look look;
  look.inside = true;
  look.residual = (seen.grey - pixel.cover * p[brightness] * pixel.grey - through * p[shade] * behind) / pixel.doubt;
  if (!want_slope) return look;
  const double gx = seen.slope_x - through * p[shade] * behind_x;
  const double gy = seen.slope_y - through * p[shade] * behind_y;
  look.slope << gx, gy, -gx * ry + gy * rx, -pixel.cover * pixel.grey, -through * behind;
  look.slope /= pixel.doubt;
  return look;
}

double tukey_weight(double residual, double spread) {
  const double z = residual / (tukey * spread);
  if (std::abs(z) >= 1) return 0;
  return (1 - z * z) * (1 - z * z);
}

double tukey_loss(double residual, double spread) {
  const double z = std::min(1.0, std::abs(residual) / (tukey * spread));
  const double k = 1 - z * z;
  return 1 - k * k * k;
}

struct Solved {
  Vector p;
  double sigma_px = 0.0;
  double spread = 1.0;
  double loss = 1.0;
};

std::optional<Solved> solve(const Scene& scene, const Pose& start) {
  Solved solved;
  solved.p << start.right_px, start.down_px, start.turn_rad, 1, usual_shade;
  Vector prior;
  prior << 1 / (right_freedom_px * right_freedom_px), 0, 1 / (turn_freedom_rad * turn_freedom_rad),
      1 / (brightness_freedom * brightness_freedom), 1 / (shade_freedom * shade_freedom);
  const Vector wanted = solved.p;
  std::vector<Look> looks(scene.piece.pixels.size());
  std::vector<double> sizes;
  Normal normal;
  for (int round = 0; round < most_iterations; ++round) {
    const double c = std::cos(solved.p[turn]);
    const double s = std::sin(solved.p[turn]);
    sizes.clear();
    for (std::size_t i = 0; i < looks.size(); ++i) {
      looks[i] = look_at(scene, scene.piece.pixels[i], solved.p, c, s, true);
      if (looks[i].inside) sizes.push_back(std::abs(looks[i].residual));
    }
    if (static_cast<double>(sizes.size()) < least_seen * static_cast<double>(looks.size())) return std::nullopt;
    solved.spread = std::max({1.0, 1.4826 * math::upper_median(sizes), first_spread * std::pow(0.5, round)});
    // The prior counts against residuals in units of their own spread.
    normal = Normal::Zero();
    normal.diagonal() = prior;
    Vector pull = prior.cwiseProduct(wanted - solved.p);
    double loss = 0;
    for (const Look& look : looks) {
      if (!look.inside) continue;
      const double weight = tukey_weight(look.residual, solved.spread) / (solved.spread * solved.spread);
      loss += tukey_loss(look.residual, common_spread);
      normal += weight * look.slope * look.slope.transpose();
      pull -= weight * look.residual * look.slope;
    }
    solved.loss = loss / static_cast<double>(sizes.size());
    Vector step = normal.ldlt().solve(pull);
    const double length = std::max(std::hypot(step[right], step[down]), std::abs(step[turn]) * 40);
    if (!std::isfinite(length)) return std::nullopt;
    if (length > 3) step *= 3 / length;
    solved.p += step;
    if (length < 0.015 && solved.spread > first_spread * std::pow(0.5, round + 1)) break;
  }
  solved.sigma_px = std::sqrt(normal.inverse()(down, down));
  return solved;
}

}  // namespace

double rough_misfit(const ShoePiece& piece, const Strip& strip, const Plate& empty, const Pose& pose) {
  const Scene scene{piece, strip, empty};
  Vector p;
  p << pose.right_px, pose.down_px, pose.turn_rad, 1, usual_shade;
  const double c = std::cos(pose.turn_rad);
  const double s = std::sin(pose.turn_rad);
  double loss = 0;
  int seen = 0;
  int all = 0;
  for (std::size_t i = 0; i < piece.pixels.size(); i += 6) {
    ++all;
    const Look look = look_at(scene, piece.pixels[i], p, c, s, false);
    if (!look.inside) continue;
    ++seen;
    loss += tukey_loss(look.residual, common_spread);
  }
  return seen < least_seen * all ? 1.0 : loss / seen;
}

std::optional<PieceFit> settle(const ShoePiece& piece, const Strip& strip, const Plate& empty, const Pose& start) {
  const std::optional<Solved> solved = solve({piece, strip, empty}, start);
  if (!solved) return std::nullopt;
  return PieceFit{{solved->p[right], solved->p[down], solved->p[turn]}, solved->sigma_px, solved->loss};
}

}  // namespace risetrace::sole
