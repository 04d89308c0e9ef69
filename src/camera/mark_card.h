// Which places of a card to watch.
#pragma once

#include <array>
#include <vector>

#include "camera/marked_patch.h"

namespace risetrace::camera {

// `quads_px`: its tags, or, of a card without tags, its own corners; upright pixels, in order round it. The corners of
// each, a little inwards, since what lies round a card is not the card's; of a single quad also the best marked places
// of what is printed on it.
std::vector<MarkedPatch> mark_card(const clip::GreyPicture& picture, const std::vector<std::array<Point, 4>>& quads_px);

}  // namespace risetrace::camera
