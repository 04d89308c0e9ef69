// Where exactly a sticker is in a piece of luma: its picture is modelled (sticker_model.h) and the model fitted by
// least squares: Levenberg-Marquardt with priors on the shape. A pixel that misses the model by more than noise and a
// slightly wrong edge would do counts less (Huber 1964, Ann Math Stat 35:73), so that a seam beside the sticker does
// not pull.
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
  Point centre_px;  // upright pixels of the whole picture; the middle of the exposure
  Look look;
  double explained = 0.0;  // 0 .. 1: of the contrast in and around the sticker
  double sigma_px = 0.0;   // standard deviation of the centre, one axis, from the residuals
};

// How far from the centre fit_sticker looks, in outer radii.
inline constexpr double fit_reach = 1.6;

// Box that a fit about `centre_px` needs.
Box fit_box(Point centre_px, const Look& look);
// A sticker that is only about known: `start_px` within about one outer radius of the truth. It is taken to stand
// still. Empty: no convergence, or the sticker is not wholly inside.
std::optional<Fit> fit_sticker(const clip::Patch& patch, Point start_px, const Look& start, const FitOptions& options);
// A sticker whose look is known, to the limit of what its edges tell: every pixel near them, its way while the shutter
// is open and the uneven ground round it included. `start_px` within about two pixels of the truth. With no way at all
// in `start` the sticker is taken to stand still. Empty: no convergence either.
std::optional<Fit> place_sticker(const clip::Patch& patch, Point start_px, const Look& start);

}  // namespace risetrace::sticker
