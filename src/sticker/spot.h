// A place in the picture that may be the sticker.
#pragma once

#include <vector>

#include "sticker/look.h"
#include "sticker/track.h"

namespace risetrace::sticker {

struct Spot {
  Point px;                 // upright pixels, where it was first seen
  Look look;                // as last seen
  double look_score = 0.0;  // for ranking: the greater, the more like a sticker
  double sigma_px = 0.0;    // standard deviation of one position, one axis, from the fits
  double scatter_px = 0.0;  // the same up and down, from frame to frame; 0 where it was seen too seldom
  bool rose = false;        // rose and came down as a heel does, and was told apart by it
};

}  // namespace risetrace::sticker
