#include "scale/view_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <unsupported/Eigen/LevenbergMarquardt>

#include "scale/view_model.h"

namespace risetrace::scale {
namespace {

constexpr double tag_corner_u_px = 0.1;   // of one coordinate of a corner, at the least: edges, lens, encoder (ours)
constexpr double quad_corner_u_px = 0.3;  // of a card's own outline: there is a shadow at its foot (ours)
constexpr double quad_edge_u_px = 0.4;    // by which the outline seems to lie outwards all round (ours)
constexpr double tag_edge_u_cm = 0.1;     // of printed tags: found from their sizes against their distances

// One prior: an unknown, what it is thought to be and how surely.
struct Prior {
  DoubtFrom from = DoubtFrom::fit;
  Eigen::Index unknown = 0;
  double value = 0.0;
  double u = 1.0;
};

// Degrees of freedom of Student's t that stands for a stance's prior where the corners contradict the normal one:
// people stand things up far wrong more often than a normal curve has it (ours; Lange et al. 1989, J Am Stat Assoc
// 84:881, use 4).
constexpr double stance_freedom = 4;

constexpr Eigen::Index log_depth_at = 5;
constexpr Eigen::Index log_focal_at = 6;

double about_px_per_cm(const math::Homography& px_from_cm) {
  const auto j = px_from_cm.jacobian({0, 0});
  return std::sqrt(std::abs(j[0] * j[3] - j[1] * j[2]));
}

std::vector<Prior> priors_of(const PlaneView& view, const model::Cards& cards, double px_per_cm) {
  constexpr double rad = M_PI / 180;
  const model::ViewPriors& known = cards.view;
  const double usual_focal_px = std::max(view.picture_width_px, view.picture_height_px) / cards.usual_field_of_view;
  const double edge_u_cm = view.corners.size() <= 4 ? quad_edge_u_px / px_per_cm : tag_edge_u_cm;
  std::vector<Prior> priors = {{DoubtFrom::view, 0, 0, known.yaw_u_deg * rad},
                               {DoubtFrom::view, 1, 0, known.pitch_u_deg * rad},
                               {DoubtFrom::focal_length, log_focal_at, std::log(usual_focal_px), known.focal_log_u},
                               {DoubtFrom::card_stance, 7, 0, known.card_turn_u_deg * rad},
                               {DoubtFrom::card_stance, 8, 0, known.card_lean_u_deg * rad},
                               {DoubtFrom::card_stance, 9, 0, known.card_roll_u_deg * rad},
                               {DoubtFrom::plane_offset, 10, view.card_offset_cm, cards.plane_offset_u_cm},
                               {DoubtFrom::print, 11, 0, cards.print_scale_u},
                               {DoubtFrom::print, 12, 0, cards.print_stretch_u},
                               {DoubtFrom::fit, 13, 0, edge_u_cm}};
  // The card's depth stands for the sticker's: they differ by the offset, which is far less than the tape's doubt.
  if (view.distance_m) {
    const double depth_cm = *view.distance_m * 100 + view.card_offset_cm;
    priors.push_back({DoubtFrom::focal_length, log_depth_at, std::log(depth_cm), known.stated_distance_u});
  }
  return priors;
}

// Corners first, two rows each, then a row a prior; all in units of their standard uncertainty.
struct ViewResiduals : Eigen::DenseFunctor<double> {
  ViewResiduals(const PlaneView& seen, std::vector<Prior> known)
      : Eigen::DenseFunctor<double>(View::unknowns, static_cast<int>(2 * seen.corners.size() + known.size())),
        view(seen),
        priors(std::move(known)),
        centre{(seen.picture_width_px - 1) / 2.0, (seen.picture_height_px - 1) / 2.0},
        corner_u_px(seen.corners.size() <= 4 ? quad_corner_u_px : tag_corner_u_px) {}

  const PlaneView& view;
  std::vector<Prior> priors;
  Point centre;
  double corner_u_px;  // of one coordinate

  [[nodiscard]] Eigen::Index corner_rows() const { return static_cast<Eigen::Index>(2 * view.corners.size()); }

  [[nodiscard]] Eigen::VectorXd at(const Eigen::VectorXd& x, double k1) const {
    View trial = View::from_vector(x);
    trial.k1 = k1;
    const std::vector<Point> shown = to_picture(trial, centre, view.corners);
    Eigen::VectorXd out(values());
    Eigen::Index row = 0;
    for (std::size_t i = 0; i < shown.size(); ++i) {
      out(row++) = (shown[i].x - view.corners[i].px.x) / corner_u_px;
      out(row++) = (shown[i].y - view.corners[i].px.y) / corner_u_px;
    }
    for (const Prior& p : priors) out(row++) = (x(p.unknown) - p.value) / p.u;
    return out;
  }

  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& out) const {
    out = at(x, 0);
    return 0;
  }

  int df(const Eigen::VectorXd& x, Eigen::MatrixXd& jacobian) const {
    constexpr double step = 1e-5;  // radians, shares, px: all are smooth on a far larger scale
    for (Eigen::Index i = 0; i < x.size(); ++i) {
      Eigen::VectorXd up = x;
      Eigen::VectorXd down = x;
      up(i) += step;
      down(i) -= step;
      jacobian.col(i) = (at(up, 0) - at(down, 0)) / (2 * step);
    }
    return 0;
  }
};

Eigen::VectorXd first_guess(const PlaneView& view, const ViewResiduals& residuals, const math::Homography& px_from_cm) {
  const auto j = px_from_cm.jacobian({0, 0});
  View guess;
  guess.roll = std::atan2(j[2], j[0]);
  guess.middle_px = px_from_cm.map({0, 0});
  Eigen::VectorXd x = guess.as_vector();
  for (const Prior& p : residuals.priors) x(p.unknown) = p.value;
  const double log_px_per_cm = std::log(about_px_per_cm(px_from_cm));
  if (view.distance_m) {
    x(log_focal_at) = x(log_depth_at) + log_px_per_cm;
  } else {
    x(log_depth_at) = x(log_focal_at) - log_px_per_cm;
  }
  return x;
}

// Started from a few tilts, since to the picture's proportions a tilt and its opposite are the same.
Eigen::VectorXd best_view(ViewResiduals& residuals, const Eigen::VectorXd& guess) {
  constexpr double tilt = 0.15;  // radians
  Eigen::VectorXd best = guess;
  double least = 1e300;
  for (const Point start : {Point{0, 0}, Point{tilt, 0}, Point{-tilt, 0}, Point{0, tilt}, Point{0, -tilt}}) {
    Eigen::VectorXd x = guess;
    x(0) = start.x;
    x(1) = start.y;
    Eigen::LevenbergMarquardt<ViewResiduals> solver(residuals);
    solver.minimize(x);
    if (!x.allFinite()) continue;
    const double misfit = residuals.at(x, 0).squaredNorm();
    if (misfit < least) {
      least = misfit;
      best = x;
    }
  }
  return best;
}

// Of the whole card where it stands, not of the sticker's plane.
std::array<Point, 4> outline_px(const View& view, Point picture_centre, double width_cm, double height_cm) {
  const double x = width_cm / 2;
  const double y = height_cm / 2;
  const std::vector<Point> shown =
      to_picture(view, picture_centre, {{{-x, y}, {}, {}}, {{x, y}, {}, {}}, {{x, -y}, {}, {}}, {{-x, -y}, {}, {}}});
  return {shown[0], shown[1], shown[2], shown[3]};
}

// Standard deviation of one coordinate as the fit leaves it; 0 where it has nothing to spare. Nine of the unknowns are
// the corners' own: the eight of a plane's view and the shift of the edges.
double left_over_px(const ViewResiduals& residuals, const Eigen::VectorXd& x) {
  const Eigen::Index spare = residuals.corner_rows() - 9;
  if (spare <= 0) return 0;
  return residuals.corner_u_px * residuals.at(x, 0).head(residuals.corner_rows()).norm() /
         std::sqrt(static_cast<double>(spare));
}

// Corners that fit worse than they should, blurred or coarse ones, say less: they are weighed by what they leave.
Eigen::VectorXd weighed_view(ViewResiduals& residuals, const Eigen::VectorXd& guess) {
  Eigen::VectorXd x = best_view(residuals, guess);
  if (const double seen_px = left_over_px(residuals, x); seen_px > residuals.corner_u_px) {
    residuals.corner_u_px = seen_px;
    x = best_view(residuals, guess);
  }
  return x;
}

// By how much a prior's standard uncertainty stands too low where what it is for lies z of them off: that of the normal
// weight that Student's t gives there.
double widened(double z) { return std::max(1.0, std::sqrt((stance_freedom + z * z) / (stance_freedom + 1))); }

// A tilt that is far more than cameras and cards are thought to have was not made by one who stood them up as they were
// asked to. The priors' shares in it stay as they are; how sure they are does not. Of each axis by itself: one can be
// right where the other is not.
void widen_stance(ViewResiduals& residuals, const Eigen::VectorXd& x) {
  for (const auto& [camera, card] : {std::pair{0, 7}, {1, 8}}) {  // yaw and turn, pitch and lean
    std::vector<Prior*> both;
    double squares = 0;
    for (Prior& prior : residuals.priors) {
      if (prior.unknown != camera && prior.unknown != card) continue;
      both.push_back(&prior);
      squares += std::pow((x(prior.unknown) - prior.value) / prior.u, 2);
    }
    for (Prior* prior : both) prior->u *= widened(std::sqrt(squares));
  }
}

// The maps for one standard uncertainty of each input.
class Doubts {
 public:
  Doubts(const ViewResiduals& residuals, const Eigen::VectorXd& x) : residuals_(residuals), x_(x) {
    Eigen::MatrixXd jacobian(residuals.values(), x.size());
    residuals.df(x, jacobian);
    gain_ = (jacobian.transpose() * jacobian).ldlt().solve(jacobian.transpose());
  }

  // False where the corners leave an unknown open.
  [[nodiscard]] bool known() const { return gain_.allFinite(); }

  [[nodiscard]] std::vector<ScaleDoubt> all(double k1_u) const {
    const Eigen::Index corners = residuals_.corner_rows();
    std::vector<ScaleDoubt> out;
    for (Eigen::Index row = 0; row < gain_.cols(); ++row) {
      const bool prior = row >= corners;
      const DoubtFrom from = prior ? residuals_.priors[static_cast<std::size_t>(row - corners)].from : DoubtFrom::fit;
      out.push_back(doubt(from, map_at(x_ + gain_.col(row))));
      if (prior) add_product_with_focal(row, from, out);
    }
    const Eigen::VectorXd bent = residuals_.at(x_, k1_u) - residuals_.at(x_, 0);
    out.push_back(doubt(DoubtFrom::distortion, map_at(x_ - gain_ * bent)));
    out.back().k1 = k1_u;
    return out;
  }

 private:
  [[nodiscard]] math::Homography map_at(const Eigen::VectorXd& x) const {
    return straight_px_from_cm(View::from_vector(x), residuals_.centre).inverse().value_or(math::Homography{});
  }

  [[nodiscard]] ScaleDoubt doubt(DoubtFrom from, const math::Homography& cm_from_px) const {
    return {from, cm_from_px, residuals_.centre, std::exp(x_(log_focal_at)), 0};
  }

  // The mixed second difference, added to the map itself, so that it is read like any other doubt.
  void add_product_with_focal(Eigen::Index row, DoubtFrom from, std::vector<ScaleDoubt>& out) const {
    const Eigen::Index focal_row = residuals_.corner_rows() + 2;
    if (row == focal_row) return;
    const math::Homography here = map_at(x_);
    const math::Homography focal = map_at(x_ + gain_.col(focal_row));
    const math::Homography other = map_at(x_ + gain_.col(row));
    math::Homography both = map_at(x_ + gain_.col(focal_row) + gain_.col(row));
    for (std::size_t i = 0; i < 9; ++i) both.h.at(i) += 2 * here.h.at(i) - focal.h.at(i) - other.h.at(i);
    out.push_back(doubt(from, both));
  }

  const ViewResiduals& residuals_;
  const Eigen::VectorXd& x_;
  Eigen::MatrixXd gain_;
};

}  // namespace

std::optional<ViewFit> fit_view(const PlaneView& view, const model::Cards& cards) {
  std::vector<Point> cm;
  std::vector<Point> px;
  for (const CornerSeen& c : view.corners) {
    cm.push_back(c.card_cm);
    px.push_back(c.px);
  }
  const auto free = math::fit_homography(cm, px);
  if (!free || !(about_px_per_cm(free->map) > 0)) return std::nullopt;
  ViewResiduals residuals(view, priors_of(view, cards, about_px_per_cm(free->map)));
  const Eigen::VectorXd guess = first_guess(view, residuals, free->map);
  widen_stance(residuals, weighed_view(residuals, guess));
  const Eigen::VectorXd x = best_view(residuals, guess);
  const Doubts doubts(residuals, x);
  const View best = View::from_vector(x);
  const math::Homography px_from_cm = straight_px_from_cm(best, residuals.centre);
  const auto cm_from_px = px_from_cm.inverse();
  if (!cm_from_px || !doubts.known()) return std::nullopt;

  ViewFit fit;
  fit.cm_from_px = *cm_from_px;
  fit.card_middle_px = best.middle_px;
  const bool quad = view.corners.size() <= 4;
  fit.card_outline_px = outline_px(best, residuals.centre, quad ? cards.id_1.width_cm : cards.tags.side_cm,
                                   quad ? cards.id_1.height_cm : cards.tags.side_cm);
  fit.tilt_deg = card_tilt_deg(best);
  fit.distance_cm = plane_depth_cm(best, residuals.centre);
  const auto count = static_cast<double>(view.corners.size());
  fit.rms_px = residuals.corner_u_px * residuals.at(x, 0).head(residuals.corner_rows()).norm() / std::sqrt(count);
  fit.doubts = doubts.all(cards.view.k1_u);
  return fit;
}

}  // namespace risetrace::scale
