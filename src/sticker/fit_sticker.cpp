#include "sticker/fit_sticker.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace risetrace::sticker {
namespace {

// Parameters in this order.
enum Parameter {
  centre_x,
  centre_y,
  log_radius,
  stretch,
  shear,
  log_soft,
  share,
  ground,
  slope_x,
  slope_y,
  ring,
  disc
};
constexpr int parameters = 12;
using Vector = Eigen::Matrix<double, parameters, 1>;
using Normal = Eigen::Matrix<double, parameters, parameters>;
using Design = Eigen::Matrix<float, Eigen::Dynamic, parameters, Eigen::RowMajor>;

struct Pixel {
  float x;
  float y;
  float grey;
};

float soft_step(float z) { return 1.0F / (1.0F + std::exp(-z)); }

// One pixel in `sparing`, on a slanted lattice: a square grid would meet a sharp round edge in step with itself.
std::vector<Pixel> sampled_pixels(const clip::Patch& patch, Point centre, double reach_px, int most) {
  const double area = M_PI * reach_px * reach_px;
  const int sparing = std::max(1, static_cast<int>(std::ceil(area / most)));
  int slant = static_cast<int>(std::lround(0.382 * sparing));  // the golden section spreads the lattice evenly
  while (std::gcd(slant, sparing) != 1) ++slant;
  std::vector<Pixel> pixels;
  pixels.reserve(static_cast<std::size_t>(area / sparing) + 64);
  for (int row = 0; row < patch.box.height; ++row) {
    const int first = (sparing - slant * row % sparing) % sparing;
    for (int column = first; column < patch.box.width; column += sparing) {
      const double x = patch.box.x0 + column;
      const double y = patch.box.y0 + row;
      const double dx = x - centre.x;
      const double dy = y - centre.y;
      if (dx * dx + dy * dy > reach_px * reach_px) continue;
      pixels.push_back({static_cast<float>(x), static_cast<float>(y), patch.at(column, row)});
    }
  }
  return pixels;
}

Vector start_vector(Point centre, const Look& look, const std::vector<Pixel>& pixels) {
  std::vector<float> rim;
  for (const Pixel& p : pixels) {
    if (std::hypot(p.x - centre.x, p.y - centre.y) > 1.2 * look.outer_radius_px) rim.push_back(p.grey);
  }
  double level = 128;
  if (!rim.empty()) {
    std::nth_element(rim.begin(), rim.begin() + static_cast<std::ptrdiff_t>(rim.size() / 2), rim.end());
    level = rim[rim.size() / 2];
  }
  Vector p;
  p << centre.x, centre.y, std::log(look.outer_radius_px), look.stretch, look.shear, std::log(look.soft_px),
      look.inner_share, level, 0, 0, look.ring_step, look.disc_step;
  return p;
}

Look look_of(const Vector& p, bool ringed) {
  Look look;
  look.ringed = ringed;
  look.outer_radius_px = std::exp(p(log_radius));
  look.inner_share = ringed ? p(share) : 1.0;
  look.stretch = p(stretch);
  look.shear = p(shear);
  look.soft_px = std::exp(p(log_soft));
  look.ring_step = ringed ? p(ring) : 0.0;
  look.disc_step = p(disc);
  return look;
}

// One evaluation of the model: residuals, derivatives, and each pixel's distance from the centre in outer radii.
struct Evaluation {
  Design design;
  Eigen::VectorXf residual;
  Eigen::VectorXf radius;
  Eigen::VectorXf shape;  // the model without its ground
};

void evaluate(const std::vector<Pixel>& pixels, const Vector& p, bool ringed, Evaluation& out) {
  const auto count = static_cast<Eigen::Index>(pixels.size());
  out.design.resize(count, parameters);
  out.residual.resize(count);
  out.radius.resize(count);
  out.shape.resize(count);
  const Eigen::Matrix<float, parameters, 1> f = p.cast<float>();
  const auto big = static_cast<float>(std::exp(p(log_radius)));
  const auto soft = static_cast<float>(std::exp(p(log_soft)));
  for (Eigen::Index i = 0; i < count; ++i) {
    const Pixel& pixel = pixels[static_cast<std::size_t>(i)];
    const float dx = pixel.x - f(centre_x);
    const float dy = pixel.y - f(centre_y);
    const float ux = (1 + f(stretch)) * dx + f(shear) * dy;
    const float uy = f(shear) * dx + (1 - f(stretch)) * dy;
    const float r = std::max(std::sqrt(ux * ux + uy * uy), 1e-3F);
    const float outer = soft_step((big - r) / soft);
    const float inner = ringed ? soft_step((f(share) * big - r) / soft) : outer;
    const float sloping = (f(slope_x) * dx + f(slope_y) * dy) / big;  // of the ground, which the sticker hides
    const float bare = 1 - outer;
    const float outer_slope = ((ringed ? f(ring) : 0.0F) - sloping) * outer * (1 - outer) / soft;
    const float inner_slope = f(disc) * inner * (1 - inner) / soft;
    const float slope = -(outer_slope + inner_slope);  // d model / d r
    const float q = ringed ? f(share) : 1.0F;
    auto j = out.design.row(i);
    j(centre_x) = -slope * ((1 + f(stretch)) * ux + f(shear) * uy) / r - f(slope_x) / big * bare;
    j(centre_y) = -slope * (f(shear) * ux + (1 - f(stretch)) * uy) / r - f(slope_y) / big * bare;
    j(log_radius) = (outer_slope + inner_slope * q) * big - sloping * bare;
    j(stretch) = slope * (ux * dx - uy * dy) / r;
    j(shear) = slope * (ux * dy + uy * dx) / r;
    j(log_soft) = -(outer_slope * (big - r) + inner_slope * (q * big - r));
    j(share) = ringed ? inner_slope * big : 0.0F;
    j(ground) = 1;
    j(slope_x) = dx / big * bare;
    j(slope_y) = dy / big * bare;
    j(ring) = ringed ? outer : 0.0F;
    j(disc) = inner;
    out.shape(i) = (ringed ? f(ring) * outer : 0.0F) + f(disc) * inner;
    const float model = f(ground) + sloping * bare + out.shape(i);
    out.residual(i) = pixel.grey - model;
    out.radius(i) = r / big;
  }
}

// Full weight out to 1.35 outer radii, none at the reach; less for pixels that fit badly (Huber).
Eigen::VectorXf weights_of(const Evaluation& e, float sigma) {
  Eigen::VectorXf w(e.residual.size());
  const auto reach = static_cast<float>(fit_reach);
  for (Eigen::Index i = 0; i < w.size(); ++i) {
    const float taper = std::clamp((reach - e.radius(i)) / (reach - 1.35F), 0.0F, 1.0F);
    const float size = std::abs(e.residual(i));
    w(i) = taper * (size <= 1.5F * sigma ? 1.0F : 1.5F * sigma / size);
  }
  return w;
}

float residual_sigma(const Evaluation& e) {
  std::vector<float> sizes;
  sizes.reserve(static_cast<std::size_t>(e.residual.size()));
  for (Eigen::Index i = 0; i < e.residual.size(); ++i) {
    if (e.radius(i) < 1.35F) sizes.push_back(std::abs(e.residual(i)));
  }
  if (sizes.empty()) return 1.0F;
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::nth_element(sizes.begin(), middle, sizes.end());
  return std::max(1.0F, 1.4826F * *middle);
}

Vector prior_deviations(const FitOptions& options, bool ringed) {
  Vector sd = Vector::Constant(1e6);  // as good as free
  sd(log_radius) = sd(stretch) = sd(shear) = options.shape_freedom;
  sd(log_soft) = 0.5;
  sd(share) = ringed ? options.share_freedom : 1e-6;
  if (!ringed) sd(ring) = 1e-6;
  sd(slope_x) = sd(slope_y) = 60;
  return sd;
}

double explained_share(const Evaluation& e) {
  double left = 0;
  double shape_sum = 0;
  double shape_squares = 0;
  int count = 0;
  for (Eigen::Index i = 0; i < e.residual.size(); ++i) {
    if (e.radius(i) > 1.35F) continue;
    left += static_cast<double>(e.residual(i)) * e.residual(i);
    shape_sum += e.shape(i);
    shape_squares += static_cast<double>(e.shape(i)) * e.shape(i);
    ++count;
  }
  if (count == 0) return 0;
  const double made = shape_squares - shape_sum * shape_sum / count;
  return made <= 0 ? 0 : made / (made + left);
}

bool sane(const Vector& p, Point start, const Look& look) {
  if (!p.allFinite()) return false;
  const double radius = std::exp(p(log_radius));
  return std::hypot(p(centre_x) - start.x, p(centre_y) - start.y) < 1.5 * look.outer_radius_px && radius > 1.5 &&
         radius < 2.5 * look.outer_radius_px && radius > 0.4 * look.outer_radius_px && std::abs(p(stretch)) < 0.6 &&
         std::abs(p(shear)) < 0.6 && p(share) > 0.2 && p(share) < 1.01;
}

bool wholly_inside(const clip::Patch& patch, Point centre, double radius) {
  return centre.x - 0.9 * radius >= patch.box.x0 && centre.x + 0.9 * radius <= patch.box.x0 + patch.box.width - 1 &&
         centre.y - 0.9 * radius >= patch.box.y0 && centre.y + 0.9 * radius <= patch.box.y0 + patch.box.height - 1;
}

struct Prior {
  Vector mean;
  Vector precision;
};

double cost_of(const Evaluation& e, const Eigen::VectorXf& weights, const Vector& p, const Prior& prior,
               double variance) {
  const double data = (weights.array() * e.residual.array().square()).cast<double>().sum();
  return data + variance * prior.precision.dot((p - prior.mean).cwiseAbs2());
}

struct Descended {
  Vector p;
  Evaluation evaluation;
  Normal normal;  // weighted, prior included
};

// Levenberg-Marquardt with weights renewed each round. Empty where it runs out of sense.
std::optional<Descended> descend(const std::vector<Pixel>& pixels, const Prior& prior, const Look& start,
                                 Point start_px, int most_rounds) {
  Descended at{prior.mean, {}, Normal::Zero()};
  evaluate(pixels, at.p, start.ringed, at.evaluation);
  Evaluation trial;
  double damping = 1e-3;
  for (int round = 0; round < most_rounds; ++round) {
    const float sigma = residual_sigma(at.evaluation);
    const double variance = static_cast<double>(sigma) * sigma;
    const Eigen::VectorXf w = weights_of(at.evaluation, sigma);
    const Design weighted = w.asDiagonal() * at.evaluation.design;
    at.normal = (at.evaluation.design.transpose() * weighted).cast<double>();
    at.normal.diagonal() += variance * prior.precision;
    const Vector gradient = (weighted.transpose() * at.evaluation.residual).cast<double>() +
                            variance * prior.precision.cwiseProduct(prior.mean - at.p);
    Normal damped = at.normal;
    // Grey levels first: while they are unknown, the slopes of place and shape mean nothing.
    if (round == 0) damped.diagonal().head(ground).array() += 1e12;
    damped.diagonal() *= 1 + (round == 0 ? 0 : damping);
    Vector step = damped.ldlt().solve(gradient);
    // No more than half a radius at once: far from the truth the slope points anywhere.
    const double length = std::hypot(step(centre_x), step(centre_y));
    const double most = 0.5 * start.outer_radius_px;
    if (length > most) step *= most / length;
    const Vector there = at.p + step;
    if (!sane(there, start_px, start)) {
      damping *= 10;
      if (damping > 1e5) return std::nullopt;
      continue;
    }
    evaluate(pixels, there, start.ringed, trial);
    if (round > 0 && cost_of(trial, w, there, prior, variance) > cost_of(at.evaluation, w, at.p, prior, variance)) {
      damping *= 10;
      if (damping > 1e5) break;  // at the bottom, to rounding
      continue;
    }
    damping = std::max(1e-5, damping / 10);
    at.p = there;
    std::swap(at.evaluation, trial);
    if (round > 0 && length < 0.002 && std::abs(step(log_radius)) < 0.002) break;
  }
  return at;
}

}  // namespace

double Look::roundness() const {
  const double excess = std::hypot(stretch, shear);
  return (1 - excess) / (1 + excess);
}

Box fit_box(Point centre_px, const Look& look) {
  const int half = static_cast<int>(std::ceil(fit_reach * look.outer_radius_px)) + 2;
  return {static_cast<int>(std::lround(centre_px.x)) - half, static_cast<int>(std::lround(centre_px.y)) - half,
          2 * half + 1, 2 * half + 1};
}

std::optional<Fit> fit_sticker(const clip::Patch& patch, Point start_px, const Look& start, const FitOptions& options) {
  const double reach_px = fit_reach * start.outer_radius_px + 1;
  const std::vector<Pixel> pixels = sampled_pixels(patch, start_px, reach_px, options.most_pixels);
  if (pixels.size() < 25) return std::nullopt;
  const Prior prior{start_vector(start_px, start, pixels),
                    prior_deviations(options, start.ringed).cwiseAbs2().cwiseInverse()};
  const auto descended = descend(pixels, prior, start, start_px, options.most_iterations);
  if (!descended) return std::nullopt;
  const auto& [p, e, normal] = *descended;
  Fit fit;
  fit.centre_px = {p(centre_x), p(centre_y)};
  fit.look = look_of(p, start.ringed);
  if (!wholly_inside(patch, fit.centre_px, fit.look.outer_radius_px)) return std::nullopt;
  fit.explained = explained_share(e);
  const Normal covariance = normal.ldlt().solve(Normal::Identity());
  fit.sigma_px = residual_sigma(e) * std::sqrt((covariance(0, 0) + covariance(1, 1)) / 2);
  return fit;
}

}  // namespace risetrace::sticker
