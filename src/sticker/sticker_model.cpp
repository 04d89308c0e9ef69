#include "sticker/sticker_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace risetrace::sticker {
namespace {

// So many pixels are worked on at once: all that is made on the way to their part of the answer stays near the
// processor and needs no memory of its own.
constexpr Eigen::Index lane_pixels = 16;
using Lane = Eigen::Array<float, lane_pixels, 1>;

// More instants than this are never needed: a sticker that goes farther in one exposure is a smear.
constexpr int most_instants = 16;
constexpr double instants_a_px = 1.2;  // finer than the softest lens would show

// The parameters as they are used, the same for all pixels.
struct Formula {
  Formula(const Eigen::VectorXd& p, bool is_ringed);

  Eigen::Matrix<float, Eigen::Dynamic, 1, 0, all_parameters, 1> f;
  bool ringed;
  bool all;  // all_parameters of them
  float radius;
  float soft;
  float q;
  float a;  // 1 + stretch
  float b;  // shear
  float d;  // 1 - stretch
  float ring_step;
  float way_x;
  float way_y;
  int instants;
};

Formula::Formula(const Eigen::VectorXd& p, bool is_ringed)
    : f(p.cast<float>()),
      ringed(is_ringed),
      all(p.size() == all_parameters),
      radius(std::exp(f(log_radius))),
      soft(std::exp(f(log_soft))),
      q(ringed ? f(share) : 1.0F),
      a(1 + f(stretch)),
      b(f(shear)),
      d(1 - f(stretch)),
      ring_step(ringed ? f(ring) : 0.0F),
      way_x(all ? f(motion_x) : 0.0F),
      way_y(all ? f(motion_y) : 0.0F) {
  // From a single instant nothing could be learnt of the way.
  const int least_instants = way_x != 0 || way_y != 0 ? 2 : 1;
  instants =
      std::clamp(static_cast<int>(std::ceil(instants_a_px * std::hypot(way_x, way_y))), least_instants, most_instants);
}

// The pixels of a lane, and what evaluate() has to say of them.
struct Worked {
  Lane x;
  Lane y;
  Lane grey;
  std::array<Lane, all_parameters> design;
  Lane residual;
  Lane radius;
  Lane shape;
  Lane bare;
  Lane steepness;
};

// The discs with soft edges, summed over the instants of the exposure.
struct Sums {
  Lane outer = Lane::Zero();  // D(R)
  Lane inner = Lane::Zero();  // D(q R)
};

// The Gaussian exp(-z^2) and the area under it, from 0 below to 1 above: (1 + erf z) / 2 to 1e-7 by Abramowitz & Stegun
// 1964, Handbook of Mathematical Functions, 7.1.26, which shares the exponential.
struct SoftEdge {
  explicit SoftEdge(const Lane& z) : bell((-z.square()).exp()) {
    const Lane t = 1 / (1 + 0.3275911F * z.abs());
    const Lane tail =
        0.5F * bell * t *
        (0.254829592F + t * (-0.284496736F + t * (1.421413741F + t * (-1.453152027F + t * 1.061405429F))));
    area = (z < 0).select(tail, 1 - tail);
  }
  Lane bell;
  Lane area;
};

void add_instant(const Lane& dx, const Lane& dy, float t, const Formula& s, const Lane& outer_step, Sums& sums,
                 Worked& out) {
  const Lane ux = s.a * dx + s.b * dy;
  const Lane uy = s.b * dx + s.d * dy;
  const Lane r = (ux.square() + uy.square()).sqrt().max(1e-3F);
  const float height = 1 / (std::sqrt(static_cast<float>(M_PI)) * s.soft);  // of the Gaussian at its middle
  const SoftEdge outer((s.radius - r) / s.soft);
  const Lane outer_edge = height * outer_step * outer.bell;
  const SoftEdge inner = s.ringed ? SoftEdge((s.q * s.radius - r) / s.soft) : outer;
  const Lane inner_edge = height * s.f(disc) * inner.bell;
  const Lane slope = -(outer_edge + inner_edge);  // d model / d r
  const Lane over_r = slope / r;
  const Lane by_x = -over_r * (s.a * ux + s.b * uy);
  const Lane by_y = -over_r * (s.b * ux + s.d * uy);
  sums.outer += outer.area;
  sums.inner += inner.area;
  out.steepness += slope.abs();
  out.design[log_radius] += (outer_edge + inner_edge * s.q) * s.radius;
  out.design[log_soft] -= outer_edge * (s.radius - r) + inner_edge * (s.q * s.radius - r);
  out.design[share] += inner_edge * s.radius;
  out.design[centre_x] += by_x;
  out.design[centre_y] += by_y;
  out.design[stretch] += over_r * (ux * dx - uy * dy);
  out.design[shear] += over_r * (ux * dy + uy * dx);
  if (!s.all) return;
  out.design[motion_x] += t * by_x;
  out.design[motion_y] += t * by_y;
}

// How the hidden ground differs from the level of the bare ground; of the design what each of its parameters does.
Lane uneven_ground(const Formula& s, const Lane& dx, const Lane& dy, Worked& out) {
  out.design[cos_1] = dx / s.radius;  // the first harmonics, as light that falls off evenly
  out.design[sin_1] = dy / s.radius;
  Lane uneven = s.f(cos_1) * out.design[cos_1] + s.f(sin_1) * out.design[sin_1];
  if (!s.all) return uneven;
  const Lane distance = (dx.square() + dy.square()).sqrt().max(0.5F);
  const Lane c1 = dx / distance;
  const Lane s1 = dy / distance;
  Lane cosine = c1;
  Lane sine = s1;
  for (std::size_t k = cos_2; k < all_parameters; k += 2) {
    const Lane next = cosine * c1 - sine * s1;
    sine = sine * c1 + cosine * s1;
    cosine = next;
    out.design.at(k) = cosine;
    out.design.at(k + 1) = sine;
    uneven += s.f(static_cast<Eigen::Index>(k)) * cosine + s.f(static_cast<Eigen::Index>(k) + 1) * sine;
  }
  return uneven;
}

void work(const Formula& s, Worked& out) {
  const Lane dx = out.x - s.f(centre_x);
  const Lane dy = out.y - s.f(centre_y);
  for (Lane& column : out.design) column.setZero();
  out.steepness.setZero();
  const Lane uneven = uneven_ground(s, dx, dy, out);
  const Lane outer_step = s.ring_step - uneven;
  Sums sums;
  for (int k = 0; k < s.instants; ++k) {
    const float t = (static_cast<float>(k) + 0.5F) / static_cast<float>(s.instants) - 0.5F;
    add_instant(dx - t * s.way_x, dy - t * s.way_y, t, s, outer_step, sums, out);
  }
  const float mean = 1.0F / static_cast<float>(s.instants);
  for (const std::size_t k : {centre_x, centre_y, log_radius, stretch, shear, log_soft, share, motion_x, motion_y}) {
    out.design.at(k) *= mean;
  }
  const Lane outer = sums.outer * mean;
  const Lane inner = sums.inner * mean;
  out.bare = 1 - outer;
  if (!s.ringed) out.design[share].setZero();
  if (s.ringed) out.design[ring] = outer;
  out.design[disc] = inner;
  out.design[base].setOnes();
  out.design[cos_1] *= out.bare;
  out.design[sin_1] *= out.bare;
  for (std::size_t k = cos_2; s.all && k < all_parameters; ++k) out.design.at(k) *= out.bare;
  out.shape = s.ring_step * outer + s.f(disc) * inner;
  out.residual = out.grey - (s.f(base) + uneven * out.bare + out.shape);
  out.radius = ((s.a * dx + s.b * dy).square() + (s.b * dx + s.d * dy).square()).sqrt() / s.radius;
  out.steepness *= mean;
}

// The first `n` of the lane to where its pixels stand.
template <class Count>
void put(const Worked& lane, Count n, Eigen::Index from, Evaluation& out) {
  for (Eigen::Index k = 0; k < out.design.cols(); ++k) {
    out.design.col(k).segment(from, n) = lane.design.at(static_cast<std::size_t>(k)).head(n).matrix();
  }
  out.residual.segment(from, n) = lane.residual.head(n).matrix();
  out.radius.segment(from, n) = lane.radius.head(n);
  out.shape.segment(from, n) = lane.shape.head(n);
  out.bare.segment(from, n) = lane.bare.head(n);
  out.steepness.segment(from, n) = lane.steepness.head(n);
}

}  // namespace

void evaluate(const Pixels& pixels, const Eigen::VectorXd& p, bool ringed, Evaluation& out) {
  const Formula formula(p, ringed);
  const Eigen::Index count = pixels.x.size();
  out.design.resize(count, p.size());
  out.residual.resize(count);
  for (Eigen::ArrayXf* part : {&out.radius, &out.shape, &out.bare, &out.steepness}) part->resize(count);
  Worked lane;
  Eigen::Index from = 0;
  for (; from + lane_pixels <= count; from += lane_pixels) {
    lane.x = pixels.x.segment<lane_pixels>(from);
    lane.y = pixels.y.segment<lane_pixels>(from);
    lane.grey = pixels.grey.segment<lane_pixels>(from);
    work(formula, lane);
    put(lane, Eigen::fix<lane_pixels>, from, out);
  }
  const Eigen::Index rest = count - from;
  if (rest == 0) return;
  for (const auto& [all, part] : {std::pair{&pixels.x, &lane.x}, {&pixels.y, &lane.y}, {&pixels.grey, &lane.grey}}) {
    part->setConstant((*all)(from));  // beyond the last pixel any will do
    part->head(rest) = all->tail(rest);
  }
  work(formula, lane);
  put(lane, rest, from, out);
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
