// Whether the camera is at rest: then its map is held, and the noise of looking is not taken for movement.
#pragma once

#include <optional>

#include "camera/patch_group.h"

namespace risetrace::camera {

// What a difference of two maps does to the places that matter: near the patches, and as far from them as the sticker
// is.
struct Difference {
  double near_px = 0.0;
  double far_px = 0.0;
};

class Rest {
 public:
  static constexpr double settled_s = 0.5;   // so long without movement is rest
  static constexpr int restless_frames = 4;  // in a row: what touches one patch for a moment is no movement,
  static constexpr double plainly = 3.0;     // unless it is so many times the noise

  [[nodiscard]] bool at_rest() const { return at_rest_; }
  [[nodiscard]] const math::Similarity& held() const { return held_; }  // reference view -> pixels

  static bool same(const Difference& d, const Difference& noise) {
    return d.near_px < noise.near_px && d.far_px < noise.far_px;
  }

  // A map measured in full; `noise`: differences up to here may be its noise; `unlike` gives the Difference of two
  // maps. Gives the map to use.
  template <typename Unlike>
  math::Similarity take(const math::Similarity& measured, double time_s, const Difference& noise,
                        const Unlike& unlike) {
    if (at_rest_) {
      const Difference d = unlike(measured, held_);
      restless_ = same(d, noise) ? 0 : restless_ + 1;
      const bool plain = !same(d, {plainly * noise.near_px, plainly * noise.far_px});
      if (!plain && restless_ < restless_frames) return held_;
    }
    if (at_rest_ || !same(unlike(measured, quiet_), noise)) {
      at_rest_ = false;
      quiet_ = measured;
      quiet_since_s_ = time_s;
    } else if (time_s - quiet_since_s_ >= settled_s) {
      at_rest_ = true;
      restless_ = 0;
      const math::Similarity first;
      held_ = same(unlike(measured, first), noise) ? first : measured;
      return held_;
    }
    return measured;
  }

 private:
  bool at_rest_ = true;
  math::Similarity held_;
  math::Similarity quiet_;  // since when it has not moved, and from where
  double quiet_since_s_ = 0.0;
  int restless_ = 0;  // frames in a row
};

}  // namespace risetrace::camera
