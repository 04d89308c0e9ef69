// How the printed card looks in one picture: where it is, how bright, how sharp.
#pragma once

#include <optional>

#include "clip/frame.h"
#include "model/card.h"
#include "scale/scale.h"

namespace risetrace::scale {

struct CardLook {
  double white_grey = 0.0;  // beside the tags' edges, median, grey levels of an 8-bit picture
  double black_grey = 0.0;
  double blur_px =
      0.0;  // of the tags' edges: standard deviation of a normal curve that rises as they do from 10 to 90 %
};

// Of the tag card that `scale` was read from. Empty where none of the tags' edges is wholly in the picture.
std::optional<CardLook> look_of_card(const clip::GreyPicture& picture, const Scale& scale, const model::TagCard& card);

}  // namespace risetrace::scale
