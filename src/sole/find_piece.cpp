#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <vector>

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
constexpr double least_brightness = 0.5;  // in a picture gone black any place fits
constexpr double shade_freedom = 0.5;
constexpr double usual_shade = 0.9;

using Row = Eigen::ArrayXf;

struct Scene {
  const ShoePiece& piece;
  const Strip& strip;
  const Plate& empty;
};

constexpr float sees_through = 0.02F;  // of a pixel: what lies behind it then counts

// The piece's pixels as rows of numbers, so that each step below runs along them. First those that the background shows
// through.
struct PieceRows {
  explicit PieceRows(const ShoePiece& piece) {
    const auto count = static_cast<Eigen::Index>(piece.pixels.size());
    for (Row* row : {&dx, &dy, &cover_grey, &through, &per_doubt}) row->resize(count);
    for (const bool clear : {true, false}) {
      for (const PiecePixel& pixel : piece.pixels) {
        const float open = 1.0F - pixel.cover;
        if ((open > sees_through) != clear) continue;
        dx[filled] = pixel.dx;
        dy[filled] = pixel.dy;
        cover_grey[filled] = pixel.cover * pixel.grey;
        through[filled] = open;
        per_doubt[filled] = 1.0F / pixel.doubt;
        ++filled;
      }
      if (clear) edge = filled;
    }
  }
  Row dx, dy, cover_grey, through, per_doubt;
  Eigen::Index edge = 0;  // so many show what is behind
  Eigen::Index filled = 0;
};

// Places of the piece's pixels counted from the first pixel of a box: small numbers, which floats hold finely enough.
struct Origin {
  float x = 0.0F;
  float y = 0.0F;
};

Origin origin_in(const Scene& scene, const Box& box, Point shift_px, const Vector& p) {
  return {static_cast<float>(scene.piece.pivot_px.x + p[right] + shift_px.x - box.x0),
          static_cast<float>(scene.piece.pivot_px.y + p[down] + shift_px.y - box.y0)};
}

// What a frame shows where the piece's pixels would be, against what the two layers say, and how that changes with the
// parameters. Residuals are over the noise; NaN where a pixel is out of sight.
class Looks {
 public:
  explicit Looks(const Scene& scene)
      : scene_(scene), rows_(scene.piece), rx_(rows_.filled), ry_(rows_.filled), gx_(rows_.filled), gy_(rows_.filled) {
    residual.resize(rows_.filled);
    behind_.setZero(rows_.filled);
    slopes.setZero(rows_.filled, parameters);
  }

  void look(const Vector& p) {
    const auto c = static_cast<float>(std::cos(p[turn]));
    const auto s = static_cast<float>(std::sin(p[turn]));
    const auto dark = static_cast<float>(p[shade]);
    rx_ = c * rows_.dx - s * rows_.dy;
    ry_ = s * rows_.dx + c * rows_.dy;
    const Origin in_strip = origin_in(scene_, scene_.strip.box, scene_.strip.shift_px, p);
    for (Eigen::Index i = 0; i < rows_.filled; ++i) {
      const Sampled now =
          sample_in(scene_.strip.box, scene_.strip.grey.data(), in_strip.x + rx_[i], in_strip.y + ry_[i]);
      residual[i] = now.inside ? now.grey : std::nanf("");
      gx_[i] = now.slope_x;
      gy_[i] = now.slope_y;
    }
    const Origin in_empty = origin_in(scene_, scene_.empty.box, {0, 0}, p);
    for (Eigen::Index i = 0; i < rows_.edge; ++i) {
      const Sampled b = sample_in(scene_.empty.box, scene_.empty.grey.data(), in_empty.x + rx_[i], in_empty.y + ry_[i]);
      behind_[i] = b.inside ? b.grey : std::nanf("");
      gx_[i] -= rows_.through[i] * dark * b.slope_x;
      gy_[i] -= rows_.through[i] * dark * b.slope_y;
    }
    residual = (residual - static_cast<float>(p[brightness]) * rows_.cover_grey - dark * rows_.through * behind_) *
               rows_.per_doubt;
    slopes.col(right) = gx_ * rows_.per_doubt;
    slopes.col(down) = gy_ * rows_.per_doubt;
    slopes.col(turn) = (gy_ * rx_ - gx_ * ry_) * rows_.per_doubt;
    slopes.col(brightness) = -rows_.cover_grey * rows_.per_doubt;
    slopes.col(shade) = -rows_.through * behind_ * rows_.per_doubt;
    drop_unseen();
  }

  Row residual;  // of the pixels in sight, `seen` of them
  Eigen::Array<float, Eigen::Dynamic, parameters> slopes;
  Eigen::Index seen = 0;
  [[nodiscard]] Eigen::Index all() const { return rows_.filled; }

 private:
  void drop_unseen() {
    seen = 0;
    for (Eigen::Index i = 0; i < rows_.filled; ++i) {
      if (std::isnan(residual[i])) continue;
      if (seen != i) {
        residual[seen] = residual[i];
        slopes.row(seen) = slopes.row(i);
      }
      ++seen;
    }
  }

  const Scene& scene_;
  PieceRows rows_;
  Row rx_, ry_, gx_, gy_, behind_;
};

// 1 - (1 - z^2)^3 where z < 1; 1 beyond.
template <typename Sizes>
double tukey_loss_sum(const Sizes& sizes, float spread) {
  const auto k = 1 - (sizes * (1 / (static_cast<float>(tukey) * spread))).min(1.0F).square();
  return static_cast<double>(sizes.size()) - static_cast<double>((k * k * k).sum());
}

// The robust spread of what is left over, or `least` where that is greater: known without ordering when more than half
// of the residuals are small enough.
double spread_of(const Row& sizes, Eigen::Index count, double least, std::vector<float>& scratch) {
  constexpr double of_median = 1.4826;
  const auto small = static_cast<float>(least / of_median);
  if ((sizes.head(count) <= small).count() > count / 2) return least;
  scratch.assign(sizes.data(), sizes.data() + count);
  const auto middle = scratch.begin() + count / 2;
  std::nth_element(scratch.begin(), middle, scratch.end());
  return std::max(least, of_median * *middle);
}

struct Solved {
  Vector p;
  double sigma_px = 0.0;
  double spread = 1.0;
  double loss = 1.0;
};

struct Sums {
  Normal normal = Normal::Zero();
  Vector pull = Vector::Zero();
};

Sums sums_of(const Looks& looks, const Row& sizes, double spread) {
  const Eigen::Index n = looks.seen;
  const auto reach = static_cast<float>(1 / (tukey * spread));
  const Row weight =
      (1 - (sizes.head(n) * reach).min(1.0F).square()).square() * static_cast<float>(1 / (spread * spread));
  Sums sums;
  for (int a = 0; a < parameters; ++a) {
    const Row weighted = weight * looks.slopes.col(a).head(n);
    sums.pull[a] = -static_cast<double>((weighted * looks.residual.head(n)).sum());
    for (int b = a; b < parameters; ++b) {
      sums.normal(a, b) = sums.normal(b, a) = static_cast<double>((weighted * looks.slopes.col(b).head(n)).sum());
    }
  }
  return sums;
}

std::optional<Solved> solve(const Scene& scene, const Pose& start) {
  Solved solved;
  solved.p << start.right_px, start.down_px, start.turn_rad, 1, usual_shade;
  Vector prior;
  prior << 1 / (right_freedom_px * right_freedom_px), 0, 1 / (turn_freedom_rad * turn_freedom_rad),
      1 / (brightness_freedom * brightness_freedom), 1 / (shade_freedom * shade_freedom);
  const Vector wanted = solved.p;
  Looks looks(scene);
  Row sizes(looks.all());
  std::vector<float> scratch;
  Normal normal;
  for (int round = 0; round < most_iterations; ++round) {
    looks.look(solved.p);
    const Eigen::Index n = looks.seen;
    if (n == 0 || static_cast<double>(n) < least_seen * static_cast<double>(looks.all())) return std::nullopt;
    sizes.head(n) = looks.residual.head(n).abs();
    solved.spread = spread_of(sizes, n, std::max(1.0, first_spread * std::pow(0.5, round)), scratch);
    const Sums sums = sums_of(looks, sizes, solved.spread);
    // The prior counts against residuals in units of their own spread.
    normal = sums.normal;
    normal.diagonal() += prior;
    const Vector pull = sums.pull + prior.cwiseProduct(wanted - solved.p);
    solved.loss = tukey_loss_sum(sizes.head(n), static_cast<float>(common_spread)) / static_cast<double>(n);
    Vector step = normal.ldlt().solve(pull);
    const double length = std::max(std::hypot(step[right], step[down]), std::abs(step[turn]) * 40);
    if (!std::isfinite(length)) return std::nullopt;
    if (length > 3) step *= 3 / length;
    solved.p += step;
    if (length < 0.015 && solved.spread > first_spread * std::pow(0.5, round + 1)) break;
  }
  if (solved.p[brightness] < least_brightness) return std::nullopt;
  solved.sigma_px = std::sqrt(normal.inverse()(down, down));
  return solved;
}

float tukey_loss(float residual) {
  const float z = std::min(1.0F, std::abs(residual) / static_cast<float>(tukey * common_spread));
  const float k = 1 - z * z;
  return 1 - k * k * k;
}

}  // namespace

double rough_misfit(const ShoePiece& piece, const Strip& strip, const Plate& empty, const Pose& pose) {
  const Scene scene{piece, strip, empty};
  Vector p;
  p << pose.right_px, pose.down_px, pose.turn_rad, 1, usual_shade;
  const auto c = static_cast<float>(std::cos(pose.turn_rad));
  const auto s = static_cast<float>(std::sin(pose.turn_rad));
  const Origin in_strip = origin_in(scene, strip.box, strip.shift_px, p);
  const Origin in_empty = origin_in(scene, empty.box, {0, 0}, p);
  double loss = 0;
  int seen = 0;
  int all = 0;
  for (std::size_t i = 0; i < piece.pixels.size(); i += 6) {
    ++all;
    const PiecePixel& pixel = piece.pixels[i];
    const float rx = c * pixel.dx - s * pixel.dy;
    const float ry = s * pixel.dx + c * pixel.dy;
    const Sampled now = sample_in(strip.box, strip.grey.data(), in_strip.x + rx, in_strip.y + ry);
    const float through = 1.0F - pixel.cover;
    Sampled behind{0, 0, 0, true};
    if (through > sees_through) {
      behind = sample_in(empty.box, empty.grey.data(), in_empty.x + rx, in_empty.y + ry);
    }
    if (!now.inside || !behind.inside || std::isnan(behind.grey)) continue;
    ++seen;
    loss += tukey_loss((now.grey - pixel.cover * pixel.grey - through * static_cast<float>(usual_shade) * behind.grey) /
                       pixel.doubt);
  }
  return seen < least_seen * all ? 1.0 : loss / seen;
}

std::optional<PieceFit> settle(const ShoePiece& piece, const Strip& strip, const Plate& empty, const Pose& start) {
  const std::optional<Solved> solved = solve({piece, strip, empty}, start);
  if (!solved) return std::nullopt;
  return PieceFit{{solved->p[right], solved->p[down], solved->p[turn]}, solved->sigma_px, solved->loss};
}

}  // namespace risetrace::sole
