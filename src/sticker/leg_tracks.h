// Where the leg's other stickers were in each frame: hip (greater trochanter), knee (lateral epicondyle of the femur),
// ankle (lateral malleolus). Each as Track says; empty where there was none.
#pragma once

#include <optional>

#include "sticker/track.h"

namespace risetrace::sticker {

struct LegTracks {
  std::optional<Track> ankle;
  std::optional<Track> knee;
  std::optional<Track> hip;
};

}  // namespace risetrace::sticker
