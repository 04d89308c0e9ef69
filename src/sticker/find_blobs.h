// Round, high-contrast spots in a whole picture: places where the sticker may be.
//
// Spots are extremes of a difference of Gaussians over scales (Lindeberg 1998, Int J Comput Vis 30:79; the ridge test
// on the Hessian after Lowe 2004, Int J Comput Vis 60:91), each then fitted with the sticker model and kept where that
// explains what is seen.
#pragma once

#include <optional>
#include <vector>

#include "clip/frame.h"
#include "sticker/fit_sticker.h"

namespace risetrace::sticker {

struct BlobOptions {
  double least_radius_px = 2.5;
  double greatest_radius_px = 44.0;
  double least_contrast = 20.0;  // grey levels
  double least_explained = 0.75;
  double least_roundness = 0.5;
  int most_blobs = 60;
};

// Best first.
std::vector<Fit> find_blobs(const clip::GreyPicture& picture, const BlobOptions& options);

// The best fit to a spot of unknown size whose centre is about at `place_px`.
std::optional<Fit> fit_unknown_spot(const clip::Patch& patch, Point place_px, double radius_px,
                                    const BlobOptions& options);

// How good a sticker this is: for ranking.
double spot_score(const Fit& fit);

}  // namespace risetrace::sticker
