// How the camera moved since the first frame: by the card in the leg's plane, and by the background.
//
// The card comes first: it stands in the plane of the heel, and a hand that moves aside by 1 cm moves what is 45 cm
// behind that plane 2 px less than the card. The background is the second witness: it stands in while the card is
// covered, it tells a card that was knocked over from a camera that moved, and it is all there is without a card.
// Whatever moves in front of it, a leg, a hand, someone who walks by, is a minority of patches that disagree and is
// left out; a background counts only where patches on both sides of the picture agree.
//
// A camera at rest costs a look at four patches of the card a frame, and its map stays exactly what it was.
#pragma once

#include <array>
#include <memory>
#include <vector>

#include "camera/view.h"
#include "clip/frame.h"

namespace risetrace::camera {

class CameraFollower {
 public:
  CameraFollower();
  CameraFollower(const CameraFollower&) = delete;
  CameraFollower& operator=(const CameraFollower&) = delete;
  CameraFollower(CameraFollower&&) noexcept;
  CameraFollower& operator=(CameraFollower&&) noexcept;
  ~CameraFollower();

  // Every frame in order, from the first. The frame's view at once: nothing is looked ahead.
  View push(const clip::Frame& frame);

  // watch_card() was called.
  [[nodiscard]] bool watches_card() const;
  // The card was found. `frame` is the one pushed last; `ref_quads` are its tags' or its own corners in the reference
  // view, top left, top right, bottom right, bottom left.
  void watch_card(const clip::Frame& frame, const std::vector<std::array<Point, 4>>& ref_quads);

  // All frames. Frames through which the camera was taken to stand still, but was found elsewhere afterwards, are
  // no longer known.
  CameraPath finish();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::camera
