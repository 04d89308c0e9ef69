// How far the still background has moved in the picture: a floor that shakes the camera, a hand that holds it.
#pragma once

#include <memory>
#include <vector>

#include "base/geometry.h"
#include "clip/frame.h"

namespace risetrace::sole {

// Watches some well-marked patches of the first frame. What most of them do is the camera's; what moves otherwise is a
// leg. Each is found again by Lucas & Kanade's method (1981, Proc IJCAI 674, from memory) for a shift alone.
class CameraShift {
 public:
  // Nothing inside of `avoid`, where the leg moves, is watched.
  explicit CameraShift(Box avoid);
  CameraShift(const CameraShift&) = delete;
  CameraShift& operator=(const CameraShift&) = delete;
  CameraShift(CameraShift&&) noexcept;
  CameraShift& operator=(CameraShift&&) noexcept;
  ~CameraShift();

  // In upright pixels since the first frame pushed. Where too little stands still to tell, the last that was known; to
  // begin with (0, 0).
  Point push(const clip::Frame& frame);
  // Patches that most lately agreed.
  [[nodiscard]] int agreeing() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::sole
