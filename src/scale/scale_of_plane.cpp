#include "scale/scale_of_plane.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "math/uncertainty.h"
#include "scale/view_fit.h"

namespace risetrace::scale {
namespace {

// By how much the card's upright edge leans in the picture, degrees.
double lean_deg(const math::Homography& cm_from_px, Point middle_px) {
  const auto j = cm_from_px.jacobian(middle_px);
  return std::atan2(std::abs(j[2]), -j[3]) * 180 / M_PI;
}

math::Homography turned(const math::Homography& cm_from_px, double angle_rad) {
  const double c = std::cos(angle_rad);
  const double s = std::sin(angle_rad);
  math::Homography out = cm_from_px;
  for (std::size_t i = 0; i < 3; ++i) {
    out.h.at(i) = c * cm_from_px.h.at(i) - s * cm_from_px.h.at(3 + i);
    out.h.at(3 + i) = s * cm_from_px.h.at(i) + c * cm_from_px.h.at(3 + i);
  }
  return out;
}

// A phone stands a degree or two askew, and the card true all the same (its prior). From 4 degrees on nothing in the
// clip tells which of the two leans: anything from nothing to all of it may be the card's (rectangular, JCGM
// 100:2008, 4.3.7); from 2 degrees on more and more of that.
double card_lean_u_rad(double seen_deg) {
  const double doubted = std::clamp((seen_deg - 2) / 2, 0.0, 1.0);
  return doubted * seen_deg / std::sqrt(3.0) * M_PI / 180;
}

// Root of the area ratio where `px` is, by the differences that a doubt's map allows.
template <typename Map>
double px_per_cm(const Map& map, Point px) {
  const Point right = map.map({px.x + 0.5, px.y});
  const Point left = map.map({px.x - 0.5, px.y});
  const Point below = map.map({px.x, px.y + 0.5});
  const Point above = map.map({px.x, px.y - 0.5});
  const double cm2 = (right.x - left.x) * (below.y - above.y) - (right.y - left.y) * (below.x - above.x);
  return 1 / std::sqrt(std::abs(cm2));
}

}  // namespace

std::optional<Scale> scale_of_plane(const PlaneView& view, const model::Cards& cards) {
  auto fit = fit_view(view, cards);
  if (!fit) return std::nullopt;
  Scale scale;
  scale.cm_from_px = fit->cm_from_px;
  scale.px_per_cm = px_per_cm(fit->cm_from_px, fit->card_middle_px);
  scale.card_outline_px = fit->card_outline_px;
  scale.fit_rms_px = fit->rms_px;
  scale.tilt_deg = fit->tilt_deg;
  scale.distance_m = view.distance_m ? *view.distance_m : fit->distance_cm / 100;
  scale.doubts = std::move(fit->doubts);
  const double lean = lean_deg(fit->cm_from_px, fit->card_middle_px);
  if (const double u_rad = card_lean_u_rad(lean); u_rad > 0) {
    ScaleDoubt leaning = scale.doubts.back();
    leaning.from = DoubtFrom::card_stance;
    leaning.cm_from_px = turned(fit->cm_from_px, u_rad);
    leaning.k1 = 0;
    scale.doubts.push_back(leaning);
  }
  math::Effects effects;
  for (const ScaleDoubt& doubt : scale.doubts) {
    effects.push_back(px_per_cm(doubt, fit->card_middle_px) - *scale.px_per_cm);
  }
  scale.px_per_cm_u = math::standard_u(effects);
  constexpr double noted_lean_deg = 2.0;
  if (lean > noted_lean_deg) {
    scale.notes.push_back({"card-leans",
                           "The card leans by " + std::to_string(std::lround(lean)) +
                               " degrees in the picture: heights are taken along its upright edge and are right if it "
                               "is the camera that is held askew; if it is the card, stand it upright on the floor.",
                           std::nullopt});
  }
  return scale;
}

}  // namespace risetrace::scale
