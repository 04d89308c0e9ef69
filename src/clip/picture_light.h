// How bright and how noisy a picture is.
#pragma once

#include "clip/frame.h"

namespace risetrace::clip {

struct PictureLight {
  double bright_grey = 0.0;    // one pixel in twenty is brighter; grey levels of an 8-bit picture
  double clipped_share = 0.0;  // of its pixels, as bright as can be shown
  double noise_grey = 0.0;     // standard deviation of one pixel, where the picture is plainest
};

// `clipped_grey`: as bright as can be shown from here. The noise is that of small squares after Immerkaer's mask (1996,
// Comput Vis Image Underst 64:300, from memory), which plain slopes pass unseen; of the plainest quarter, since texture
// only adds. An encoder smooths noise away, so that this is what the program meets, not what the sensor made.
PictureLight light_of(const GreyPicture& picture, double clipped_grey);

}  // namespace risetrace::clip
