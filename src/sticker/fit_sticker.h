// Where exactly a sticker is in a piece of luma: its picture is modelled and the model fitted by least squares.
//
// Model at pixel x: ground (a sloping plane, hidden by the sticker) + ring_step * D(r, R) + disc_step * D(r, q R),
// where r is the distance from the centre after the ellipse is undone, R the outer radius, q the inner share, and D a
// disc with a soft edge. Centre, radius, ellipse, softness, q, the plane and the steps are fitted together
// (Levenberg-Marquardt with priors on the shape, weights after Huber 1964, Ann Math Stat 35:73, so that a seam beside
// the sticker does not pull).
#pragma once

#include <optional>

#include "clip/frame.h"
#include "sticker/look.h"

namespace risetrace::sticker {

struct FitOptions {
  int most_pixels = 500;  // larger patches are sampled on a coarser grid
  int most_iterations = 20;
  double shape_freedom = 0.06;  // prior standard deviation of log radius, stretch and shear about the start
  double share_freedom = 0.01;  // of the inner share
};

struct Fit {
  Point centre_px;  // upright pixels of the whole picture
  Look look;
  double explained = 0.0;  // 0 .. 1: of the contrast in and around the sticker
  double sigma_px = 0.0;   // standard deviation of the centre, one axis, from the residuals
};

// How far from the centre the fit looks, in outer radii.
inline constexpr double fit_reach = 1.6;

// Box that a fit about `centre_px` needs.
Box fit_box(Point centre_px, const Look& look);
// `start_px` within about one outer radius of the truth. Empty: no convergence, or the sticker is not wholly inside.
std::optional<Fit> fit_sticker(const clip::Patch& patch, Point start_px, const Look& start, const FitOptions& options);

}  // namespace risetrace::sticker
