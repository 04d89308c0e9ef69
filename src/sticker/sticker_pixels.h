// Which pixels a sticker is fitted to.
#pragma once

#include "clip/frame.h"
#include "sticker/look.h"
#include "sticker/sticker_model.h"

namespace risetrace::sticker {

// About `most` of those within `reach_px` of the centre, spread evenly.
Pixels sampled_pixels(const clip::Patch& patch, Point centre, double reach_px, int most);
// All near the edges of the disc and the ring; of the plain areas between and beyond them one in three, for their grey.
Pixels edge_pixels(const clip::Patch& patch, Point centre, const Look& look);
// How far beyond the sticker's rim edge_pixels looks.
double reach_beyond_px(const Look& look);

}  // namespace risetrace::sticker
