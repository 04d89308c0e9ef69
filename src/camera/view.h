// How the camera stood in each frame.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/geometry.h"
#include "math/similarity.h"

namespace risetrace::camera {

// The reference view is the clip's first frame, upright pixels.
struct View {
  std::int64_t frame = 0;
  double time_s = 0.0;
  math::Similarity ref_from_px;  // this frame's upright pixels -> the reference view; exactly the unit map at rest
  bool known = true;             // false: the camera moved and could not be followed, ref_from_px is only the last one
  bool assumed = false;          // what shows the camera was covered; it stood still before and is taken to do so now
  bool card_stands = true;       // false: the card has been moved since, it says nothing of the camera any more
  bool card_seen = false;        // it told how the camera stands
};

enum class Witness { none, background, card };

struct CameraPath {
  std::vector<View> views;  // one a frame; empty: nobody looked, the camera is taken to stand still
  Witness witness = Witness::none;
  bool background_agreed = false;  // the background moved with the card: it was the camera, not the card
  double moved_px = 0.0;  // farthest that the card, or without one the picture's middle, was from its first place
  std::optional<double> moved_s;  // when it first was more than a pixel away
  std::optional<double> card_moved_s;
  double card_moved_px = 0.0;  // of the card against the background
};

// Of a frame; at rest where nobody looked.
inline View view_of(const CameraPath& path, std::int64_t frame) {
  const auto at = static_cast<std::size_t>(frame);
  return at < path.views.size() ? path.views[at] : View{};
}

}  // namespace risetrace::camera
