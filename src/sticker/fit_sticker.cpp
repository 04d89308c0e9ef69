#include "sticker/fit_sticker.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "sticker/sticker_model.h"
#include "sticker/sticker_pixels.h"

namespace risetrace::sticker {
namespace {

using Eigen::MatrixXd;
using Eigen::MatrixXf;
using Eigen::VectorXd;
using Eigen::VectorXf;

// Pixels further out, in outer radii, say nothing of whether this is a sticker.
constexpr float judged_radii = 1.35F;

double level_of(const Pixels& pixels, Point centre, double from_px) {
  std::vector<float> rim;
  for (Eigen::Index i = 0; i < pixels.x.size(); ++i) {
    const double dx = pixels.x(i) - centre.x;
    const double dy = pixels.y(i) - centre.y;
    if (dx * dx + dy * dy > from_px * from_px) rim.push_back(pixels.grey(i));
  }
  if (rim.empty()) return 128;
  const auto middle = rim.begin() + static_cast<std::ptrdiff_t>(rim.size() / 2);
  std::nth_element(rim.begin(), middle, rim.end());
  return *middle;
}

float spread_of(std::vector<float>& sizes) {
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::nth_element(sizes.begin(), middle, sizes.end());
  return 1.4826F * *middle;
}

// Standard deviations, grey levels, deaf to outliers.
struct Scatter {
  float noise = 1.0F;   // of the pixels where the sticker is
  float ground = 0.0F;  // of the bare ground about its smooth model, beyond the noise
};

// `within` and `beyond` are room to work in.
Scatter scatter_of(const Evaluation& e, std::vector<float>& within, std::vector<float>& beyond) {
  within.clear();
  beyond.clear();
  within.reserve(static_cast<std::size_t>(e.residual.size()));
  beyond.reserve(static_cast<std::size_t>(e.residual.size()));
  for (Eigen::Index i = 0; i < e.residual.size(); ++i) {
    if (e.bare(i) < 0.5F) within.push_back(std::abs(e.residual(i)));
    if (e.bare(i) > 0.8F && e.radius(i) < judged_radii) beyond.push_back(std::abs(e.residual(i)));
  }
  Scatter scatter;
  if (!within.empty()) scatter.noise = std::max(1.0F, spread_of(within));
  if (beyond.size() < 8) return scatter;
  const float all = 1.2533F * std::accumulate(beyond.begin(), beyond.end(), 0.0F) / static_cast<float>(beyond.size());
  scatter.ground = std::sqrt(std::max(0.0F, all * all - 1.5F * scatter.noise * scatter.noise));
  return scatter;
}

// What is fitted, and what is known of it beforehand.
struct Task {
  Pixels pixels;
  VectorXd mean;       // of the prior, and the start
  VectorXd precision;  // of the prior
  Look look;
  Point start_px;
  bool tapered = false;  // beyond judged_radii a pixel counts less and less, at fit_reach not at all
  int most_rounds = 20;
  bool must_settle = false;   // else where the last round leads is good enough
  bool levels_known = false;  // the grey levels are about right from the start
  double settled_share = 0;   // a step that takes no more of the misfit away than this is the last
};

// An edge may be off by this much and still be the sticker's.
constexpr float edge_doubt_px = 0.15F;

void weigh(const Task& task, const Evaluation& e, const Scatter& scatter, VectorXf& weights) {
  const float noise = scatter.noise * scatter.noise;
  constexpr auto reach = static_cast<float>(fit_reach);
  const auto variance = noise + (scatter.ground * e.bare).square();
  const auto allowed = 1.5F * (variance + (edge_doubt_px * e.steepness).square()).sqrt();
  weights.resize(e.residual.size());
  auto w = weights.array();
  w = (allowed / e.residual.array().abs().max(1e-6F)).min(1.0F);  // Huber's
  w = noise / variance * w * (1 - e.bare + e.bare * w.square());
  if (task.tapered) w *= ((reach - e.radius) / (reach - judged_radii)).max(0.0F).min(1.0F);
}

VectorXd prior_deviations(const Look& look, Eigen::Index count, double shape_freedom, double share_freedom) {
  VectorXd sd = VectorXd::Constant(count, 1e6);  // as good as free
  sd(log_radius) = sd(stretch) = sd(shear) = shape_freedom;
  sd(log_soft) = 0.5;
  sd(share) = look.ringed ? share_freedom : 1e-6;
  if (!look.ringed) sd(ring) = 1e-6;
  sd(cos_1) = sd(sin_1) = 60;
  if (count < all_parameters) return sd;
  sd(motion_x) = sd(motion_y) = 2;
  sd.tail(all_parameters - cos_2).setConstant(30);
  return sd;
}

double explained_share(const Evaluation& e) {
  double left = 0;
  double shape_sum = 0;
  double shape_squares = 0;
  int count = 0;
  for (Eigen::Index i = 0; i < e.residual.size(); ++i) {
    if (e.radius(i) > judged_radii) continue;
    left += static_cast<double>(e.residual(i)) * e.residual(i);
    shape_sum += e.shape(i);
    shape_squares += static_cast<double>(e.shape(i)) * e.shape(i);
    ++count;
  }
  if (count == 0) return 0;
  const double made = shape_squares - shape_sum * shape_sum / count;
  return made <= 0 ? 0 : made / (made + left);
}

bool sane(const VectorXd& p, Point start, const Look& look) {
  if (!p.allFinite()) return false;
  const double radius = std::exp(p(log_radius));
  return std::hypot(p(centre_x) - start.x, p(centre_y) - start.y) < 1.5 * look.outer_radius_px && radius > 1.5 &&
         radius < 2.5 * look.outer_radius_px && radius > 0.4 * look.outer_radius_px && std::abs(p(stretch)) < 0.6 &&
         std::abs(p(shear)) < 0.6 && p(share) > 0.2 && p(share) < 1.01 && std::abs(p(log_soft)) < 4;
}

bool wholly_inside(const clip::Patch& patch, Point centre, double radius) {
  return centre.x - 0.9 * radius >= patch.box.x0 && centre.x + 0.9 * radius <= patch.box.x0 + patch.box.width - 1 &&
         centre.y - 0.9 * radius >= patch.box.y0 && centre.y + 0.9 * radius <= patch.box.y0 + patch.box.height - 1;
}

double cost_of(const Task& task, const Evaluation& e, const VectorXf& weights, const VectorXd& p, double variance) {
  const double data = weights.cast<double>().dot(e.residual.cast<double>().cwiseAbs2());
  return data + variance * task.precision.dot((p - task.mean).cwiseAbs2());
}

// After a step of this length and less the place is known well enough, wherever the look still drifts to.
constexpr double short_px = 0.05;
// After one of this length no more is made: each is some twenty times shorter than the one before.
constexpr double settled_px = 0.01;

struct Descended {
  VectorXd p;
  Evaluation evaluation;
  MatrixXd normal;       // weighted, prior included
  bool settled = false;  // the last step was short
};

// The least squares about a place, and room to make them in: it is asked for once a fit.
struct System {
  double variance = 0.0;
  VectorXf weights;
  MatrixXf weighted;
  MatrixXd normal;
  VectorXd gradient;
  double cost = 0.0;
  std::vector<float> within;
  std::vector<float> beyond;
};

void set_up(const Task& task, const VectorXd& p, const Evaluation& e, System& system) {
  const Scatter scatter = scatter_of(e, system.within, system.beyond);
  system.variance = static_cast<double>(scatter.noise) * scatter.noise;
  weigh(task, e, scatter, system.weights);
  system.weighted = system.weights.asDiagonal() * e.design;
  MatrixXf normal = MatrixXf::Zero(p.size(), p.size());
  normal.triangularView<Eigen::Lower>() = e.design.transpose() * system.weighted;
  system.normal = MatrixXf(normal.selfadjointView<Eigen::Lower>()).cast<double>();
  system.normal.diagonal() += system.variance * task.precision;
  system.gradient = (system.weighted.transpose() * e.residual).cast<double>() +
                    system.variance * task.precision.cwiseProduct(task.mean - p);
  system.cost = cost_of(task, e, system.weights, p, system.variance);
}

// One of Levenberg and Marquardt's, `damping` long. Grey levels first: while they are unknown, the slopes of place and
// shape mean nothing.
VectorXd step_of(const Task& task, const System& here, bool levels_only, double damping) {
  MatrixXd damped = here.normal;
  if (levels_only) {
    damped.diagonal().head(disc).array() += 1e12;
    damped.diagonal().tail(damped.rows() - few_parameters).array() += 1e12;
  } else {
    damped.diagonal() *= 1 + damping;
  }
  VectorXd step = damped.ldlt().solve(here.gradient);
  // No more than half a radius at once: far from the truth the slope points anywhere.
  const double length = std::hypot(step(centre_x), step(centre_y));
  const double most = 0.5 * task.look.outer_radius_px;
  if (length > most) step *= most / length;
  return step;
}

// Levenberg-Marquardt with weights renewed after each step. Empty where it runs out of sense.
std::optional<Descended> descend(const Task& task) {
  Descended at{task.mean, {}, {}};
  evaluate(task.pixels, at.p, task.look.ringed, at.evaluation);
  Evaluation trial;
  System here;
  bool stepped = true;
  double damping = 1e-3;
  for (int round = 0; round < task.most_rounds; ++round) {
    if (stepped) set_up(task, at.p, at.evaluation, here);
    stepped = false;
    const bool levels_only = round == 0 && !task.levels_known;
    const VectorXd step = step_of(task, here, levels_only, damping);
    const VectorXd there = at.p + step;
    if (!sane(there, task.start_px, task.look)) {
      damping *= 10;
      if (damping > 1e5) return std::nullopt;
      continue;
    }
    evaluate(task.pixels, there, task.look.ringed, trial);
    const double cost_there = cost_of(task, trial, here.weights, there, here.variance);
    if (!levels_only && cost_there > here.cost) {
      damping *= 30;
      if (damping <= 100) continue;
      at.settled = true;  // at the bottom, to rounding
      break;
    }
    damping = std::max(1e-5, damping / 10);
    at.p = there;
    std::swap(at.evaluation, trial);
    stepped = true;
    if (levels_only) continue;
    const double length = std::hypot(step(centre_x), step(centre_y));
    at.settled = length < short_px;
    if (length < settled_px && std::abs(step(log_radius)) < settled_px) break;
    if (here.cost - cost_there < task.settled_share * here.cost) break;
  }
  at.normal = std::move(here.normal);
  return at;
}

std::optional<Fit> fit_of(const Task& task, const clip::Patch& patch) {
  if (task.pixels.x.size() < 25) return std::nullopt;
  const auto descended = descend(task);
  if (!descended || (task.must_settle && !descended->settled)) return std::nullopt;
  const auto& [p, e, normal, settled] = *descended;
  Fit fit;
  fit.centre_px = {p(centre_x), p(centre_y)};
  fit.look = look_of(p, task.look.ringed);
  if (!wholly_inside(patch, fit.centre_px, fit.look.outer_radius_px)) return std::nullopt;
  fit.explained = explained_share(e);
  const MatrixXd covariance = normal.ldlt().solve(MatrixXd::Identity(normal.rows(), normal.cols()));
  std::vector<float> within;
  std::vector<float> beyond;
  fit.sigma_px = scatter_of(e, within, beyond).noise * std::sqrt((covariance(0, 0) + covariance(1, 1)) / 2);
  return fit;
}

}  // namespace

double Look::roundness() const {
  const double excess = std::hypot(stretch, shear);
  return (1 - excess) / (1 + excess);
}

Box fit_box(Point centre_px, const Look& look) {
  const double reach =
      std::max(fit_reach * look.outer_radius_px, look.outer_radius_px / look.roundness() + reach_beyond_px(look));
  const int half = static_cast<int>(std::ceil(reach)) + 2;
  return {static_cast<int>(std::lround(centre_px.x)) - half, static_cast<int>(std::lround(centre_px.y)) - half,
          2 * half + 1, 2 * half + 1};
}

std::optional<Fit> fit_sticker(const clip::Patch& patch, Point start_px, const Look& start, const FitOptions& options) {
  Task task;
  task.pixels = sampled_pixels(patch, start_px, fit_reach * start.outer_radius_px + 1, options.most_pixels);
  task.mean =
      parameters_of(start_px, start, level_of(task.pixels, start_px, 1.2 * start.outer_radius_px), few_parameters);
  task.precision =
      prior_deviations(start, few_parameters, options.shape_freedom, options.share_freedom).cwiseAbs2().cwiseInverse();
  task.look = start;
  task.start_px = start_px;
  task.most_rounds = options.most_iterations;
  task.tapered = true;
  task.settled_share = 0.002;  // what is no sticker has no bottom to come to
  return fit_of(task, patch);
}

std::optional<Fit> place_sticker(const clip::Patch& patch, Point start_px, const Look& start) {
  const FitOptions usual;
  constexpr double moved_px = 1.0;  // farther than this from where the pixels were chosen, others are needed
  std::optional<Fit> fit;
  Point about = start_px;
  for (int round = 0; round < 3; ++round) {
    Task task;
    task.pixels = edge_pixels(patch, about, start);
    const double ground = level_of(task.pixels, about, start.outer_radius_px + 2 * start.soft_px);
    task.mean = parameters_of(about, start, ground, all_parameters);
    VectorXd sd = prior_deviations(start, all_parameters, usual.shape_freedom, usual.share_freedom);
    // The formula does not change where a way is turned round: from none at all it would never grow.
    if (start.motion_px.x == 0 && start.motion_px.y == 0) sd(motion_x) = sd(motion_y) = 1e-6;
    task.precision = sd.cwiseAbs2().cwiseInverse();
    task.look = start;
    task.start_px = about;
    task.most_rounds = 10;
    task.levels_known = true;
    task.must_settle = true;
    fit = fit_of(task, patch);
    if (!fit || std::hypot(fit->centre_px.x - about.x, fit->centre_px.y - about.y) < moved_px) return fit;
    about = fit->centre_px;
  }
  return fit;
}

}  // namespace risetrace::sticker
