// Round, high-contrast spots in a whole picture: places where the sticker may be.
//
// Extremes of brightness (find_extremes.h), each fitted with the sticker model and kept where that explains what is
// seen.
#pragma once

#include <optional>
#include <vector>

#include "clip/frame.h"
#include "sticker/find_extremes.h"
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

// What a search leaves for the next one of the same view: where the picture has not changed, what was found out holds
// for a few searches more.
struct Looked {
  Extreme at;
  std::optional<Fit> fit;  // empty: no sticker
  int searches_ago = 0;    // was it looked at closely
};
struct BlobMemory {
  clip::GreyPicture picture;
  std::vector<Looked> looked;
};

// Best first. `memory` is empty before the first search.
std::vector<Fit> find_blobs(const clip::GreyPicture& picture, const BlobOptions& options, BlobMemory& memory);
// One search alone.
std::vector<Fit> find_blobs(const clip::GreyPicture& picture, const BlobOptions& options);

// The best fit to a spot of unknown size whose centre is about at `place_px`.
std::optional<Fit> fit_unknown_spot(const clip::Patch& patch, Point place_px, double radius_px,
                                    const BlobOptions& options);

// How good a sticker this is: for ranking.
double spot_score(const Fit& fit);

}  // namespace risetrace::sticker
