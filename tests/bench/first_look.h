// How a bench finds the sticker of sticker_world.h before it is followed: as a spot of unknown size, about in its
// place.
#pragma once

#include <optional>

#include "bench/sticker_world.h"
#include "sticker/find_blobs.h"

namespace risetrace::bench {

inline std::optional<sticker::Fit> first_look(const clip::Frame& frame, Point about_px, double radius_px) {
  sticker::Look wide;
  wide.outer_radius_px = 1.6 * radius_px;
  const clip::Patch patch = clip::upright_patch(frame, sticker::fit_box(about_px, wide));
  return sticker::fit_unknown_spot(patch, about_px, 0.65 * radius_px, {});
}

}  // namespace risetrace::bench
