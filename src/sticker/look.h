// What a sticker looks like in the picture: a disc, with or without a ring, on a sloping ground.
#pragma once

#include "base/geometry.h"

namespace risetrace::sticker {

// Grey levels of an 8-bit picture, upright pixels. The outline is an ellipse: a round sticker seen from the side.
struct Look {
  bool ringed = false;
  double outer_radius_px = 0.0;  // of the whole sticker, ring included; geometric mean of the half axes
  double inner_share = 1.0;      // radius of the disc inside the ring / outer radius; 1 where there is no ring
  double stretch = 0.0;          // (1 + stretch, shear; shear, 1 - stretch) maps the ellipse to a circle
  double shear = 0.0;
  double soft_px = 0.8;    // of the edge, lens and pixel together: root 2 x its standard deviation
  Point motion_px;         // its way while the shutter is open; whether forth or back cannot be seen
  double disc_step = 0.0;  // grey of the disc minus that of the ring (or of the ground, without one)
  double ring_step = 0.0;  // grey of the ring minus that of the ground

  // The largest step of grey that a person would call the sticker's contrast.
  [[nodiscard]] double contrast() const {
    const double disc = disc_step < 0 ? -disc_step : disc_step;
    const double ring = ring_step < 0 ? -ring_step : ring_step;
    return disc > ring ? disc : ring;
  }
  // Short half axis / long half axis.
  [[nodiscard]] double roundness() const;
};

}  // namespace risetrace::sticker
