#include "scale/scale_of_plane.h"

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
  math::Effects effects;
  for (const ScaleDoubt& doubt : scale.doubts) {
    effects.push_back(px_per_cm(doubt, fit->card_middle_px) - *scale.px_per_cm);
  }
  scale.px_per_cm_u = math::standard_u(effects);
  constexpr double noted_lean_deg = 5.0;
  if (const double lean = lean_deg(fit->cm_from_px, fit->card_middle_px); lean > noted_lean_deg) {
    scale.notes.push_back({"card-leans",
                           "The card leans by " + std::to_string(std::lround(lean)) +
                               " degrees in the picture: heights are taken along its upright edge, so it must "
                               "stand upright on the floor.",
                           std::nullopt});
  }
  return scale;
}

}  // namespace risetrace::scale
