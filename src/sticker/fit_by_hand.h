// A sticker whose place somebody has pointed out.
#pragma once

#include <string>

#include "base/result.h"
#include "clip/frame.h"
#include "sticker/fit_sticker.h"

namespace risetrace::sticker {

// "(412, 96)", for a sentence.
std::string at_px(Point px);

// The best spot about `place_px`, upright pixels, less choosy than a search is. `option` is how the place was given,
// for the message. Faults: option_wrong (outside the picture), sticker_not_found (nothing round there).
Result<Fit> fit_by_hand(const clip::Frame& frame, Point place_px, const std::string& option);

}  // namespace risetrace::sticker
