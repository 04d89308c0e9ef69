#include "sticker/sticker_model.h"

#include <algorithm>
#include <cmath>

namespace risetrace::sticker {
namespace {

using Array = Eigen::ArrayXf;

// More instants than this are never needed: a sticker that goes farther in one exposure is a smear.
constexpr int most_instants = 16;
constexpr double instants_a_px = 1.2;  // finer than the softest lens would show

// The discs with soft edges and what they change with, summed over the instants of the exposure.
struct Sums {
  Array outer;    // D(R)
  Array inner;    // D(q R)
  Array slope_r;  // d model / d r
  Array steep;    // its size
  Array by_radius;
  Array by_soft;
  Array by_share;
};

// The Gaussian exp(-z^2) and the area under it, from 0 below to 1 above: (1 + erf z) / 2 to 1e-7 by Abramowitz & Stegun
// 1964, Handbook of Mathematical Functions, 7.1.26, which shares the exponential.
struct SoftEdge {
  explicit SoftEdge(const Array& z) : bell((-z.square()).exp()) {
    const Array t = 1 / (1 + 0.3275911F * z.abs());
    const Array tail =
        0.5F * bell * t *
        (0.254829592F + t * (-0.284496736F + t * (1.421413741F + t * (-1.453152027F + t * 1.061405429F))));
    area = (z < 0).select(tail, 1 - tail);
  }
  Array bell;
  Array area;
};

struct Shape {
  float radius;
  float soft;
  float q;
  float a;  // 1 + stretch
  float b;  // shear
  float d;  // 1 - stretch
};

void add_instant(const Array& dx, const Array& dy, float t, const Shape& s, const Array& outer_step, float disc_step,
                 Sums& sums, Evaluation& out) {
  const Array ux = s.a * dx + s.b * dy;
  const Array uy = s.b * dx + s.d * dy;
  const Array r = (ux.square() + uy.square()).sqrt().max(1e-3F);
  const SoftEdge outer((s.radius - r) / s.soft);
  const SoftEdge inner((s.q * s.radius - r) / s.soft);
  const float height = 1 / (std::sqrt(static_cast<float>(M_PI)) * s.soft);  // of the Gaussian at its middle
  const Array outer_edge = height * outer_step * outer.bell;
  const Array inner_edge = height * disc_step * inner.bell;
  const Array slope = -(outer_edge + inner_edge);  // d model / d r
  const Array over_r = slope / r;
  const Array by_x = -over_r * (s.a * ux + s.b * uy);
  const Array by_y = -over_r * (s.b * ux + s.d * uy);
  sums.outer += outer.area;
  sums.inner += inner.area;
  sums.steep += slope.abs();
  sums.by_radius += (outer_edge + inner_edge * s.q) * s.radius;
  sums.by_soft -= outer_edge * (s.radius - r) + inner_edge * (s.q * s.radius - r);
  sums.by_share += inner_edge * s.radius;
  out.design.col(centre_x) += by_x.matrix();
  out.design.col(centre_y) += by_y.matrix();
  out.design.col(stretch) += (over_r * (ux * dx - uy * dy)).matrix();
  out.design.col(shear) += (over_r * (ux * dy + uy * dx)).matrix();
  if (out.design.cols() == few_parameters) return;
  out.design.col(motion_x) += (t * by_x).matrix();
  out.design.col(motion_y) += (t * by_y).matrix();
}

}  // namespace

void evaluate(const Pixels& pixels, const Eigen::VectorXd& p, bool ringed, Evaluation& out) {
  const Eigen::Index count = pixels.x.size();
  const bool all = p.size() == all_parameters;
  const Eigen::VectorXf f = p.cast<float>();
  const Shape shape{std::exp(f(log_radius)), std::exp(f(log_soft)), ringed ? f(share) : 1.0F, 1 + f(stretch), f(shear),
                    1 - f(stretch)};
  const Array dx = pixels.x - f(centre_x);
  const Array dy = pixels.y - f(centre_y);
  const Array distance = (dx.square() + dy.square()).sqrt().max(0.5F);
  const Array c1 = dx / distance;
  const Array s1 = dy / distance;
  out.design.setZero(count, p.size());
  const Array slope_x = dx / shape.radius;  // the first harmonics, as light that falls off evenly
  const Array slope_y = dy / shape.radius;
  Array uneven = f(cos_1) * slope_x + f(sin_1) * slope_y;
  if (all) {
    Array c = c1;
    Array s = s1;
    for (Eigen::Index k = cos_2; k < all_parameters; k += 2) {
      const Array next = c * c1 - s * s1;
      s = s * c1 + c * s1;
      c = next;
      out.design.col(k) = c.matrix();
      out.design.col(k + 1) = s.matrix();
      uneven += f(k) * c + f(k + 1) * s;
    }
  }
  const float ring_step = ringed ? f(ring) : 0.0F;
  const Array outer_step = ring_step - uneven;

  Sums sums;
  for (Array* sum : {&sums.outer, &sums.inner, &sums.steep, &sums.by_radius, &sums.by_soft, &sums.by_share}) {
    sum->setZero(count);
  }
  const float way_x = all ? f(motion_x) : 0.0F;
  const float way_y = all ? f(motion_y) : 0.0F;
  // From a single instant nothing could be learnt of the way.
  const int least_instants = way_x != 0 || way_y != 0 ? 2 : 1;
  const int instants =
      std::clamp(static_cast<int>(std::ceil(instants_a_px * std::hypot(way_x, way_y))), least_instants, most_instants);
  for (int k = 0; k < instants; ++k) {
    const float t = (static_cast<float>(k) + 0.5F) / static_cast<float>(instants) - 0.5F;
    add_instant(dx - t * way_x, dy - t * way_y, t, shape, outer_step, f(disc), sums, out);
  }
  const float mean = 1.0F / static_cast<float>(instants);
  out.design.leftCols(std::min<Eigen::Index>(p.size(), cos_2)) *= mean;
  const Array outer = sums.outer * mean;
  const Array inner = sums.inner * mean;
  out.bare = 1 - outer;
  out.design.col(log_radius) = (sums.by_radius * mean).matrix();
  out.design.col(log_soft) = (sums.by_soft * mean).matrix();
  if (ringed) out.design.col(share) = (sums.by_share * mean).matrix();
  if (ringed) out.design.col(ring) = outer.matrix();
  out.design.col(disc) = inner.matrix();
  out.design.col(base).setOnes();
  out.design.col(cos_1) = (slope_x * out.bare).matrix();
  out.design.col(sin_1) = (slope_y * out.bare).matrix();
  if (all) out.design.rightCols(all_parameters - cos_2).array().colwise() *= out.bare;
  out.shape = ring_step * outer + f(disc) * inner;
  out.residual = (pixels.grey - (f(base) + uneven * out.bare + out.shape)).matrix();
  out.radius = ((shape.a * dx + shape.b * dy).square() + (shape.b * dx + shape.d * dy).square()).sqrt() / shape.radius;
  out.steepness = sums.steep * mean;
}

Eigen::VectorXd parameters_of(Point centre_px, const Look& look, double base_grey, Eigen::Index count) {
  Eigen::VectorXd p = Eigen::VectorXd::Zero(count);
  p(centre_x) = centre_px.x;
  p(centre_y) = centre_px.y;
  p(log_radius) = std::log(look.outer_radius_px);
  p(stretch) = look.stretch;
  p(shear) = look.shear;
  p(log_soft) = std::log(look.soft_px);
  p(share) = look.inner_share;
  p(disc) = look.disc_step;
  p(ring) = look.ring_step;
  p(base) = base_grey;
  if (count < all_parameters) return p;
  p(motion_x) = look.motion_px.x;
  p(motion_y) = look.motion_px.y;
  return p;
}

Look look_of(const Eigen::VectorXd& p, bool ringed) {
  Look look;
  look.ringed = ringed;
  look.outer_radius_px = std::exp(p(log_radius));
  look.inner_share = ringed ? p(share) : 1.0;
  look.stretch = p(stretch);
  look.shear = p(shear);
  look.soft_px = std::exp(p(log_soft));
  look.ring_step = ringed ? p(ring) : 0.0;
  look.disc_step = p(disc);
  if (p.size() == all_parameters) look.motion_px = {p(motion_x), p(motion_y)};
  return look;
}

}  // namespace risetrace::sticker
