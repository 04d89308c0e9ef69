// Whether a spot has risen and come back, the mark of a heel in a raise. Pixels, y down.
#pragma once

#include <algorithm>
#include <cmath>

#include "base/geometry.h"

namespace risetrace::sticker {

// Feed each seen place in order. A rise that drifts sideways by more than its height is a step, not a raise, and starts
// the reckoning anew.
class Excursion {
 public:
  void push(Point px) {
    if (!started_) restart(px);
    if (px.y > base_.y) restart(px);  // lower than where the rise began: that is where it begins
    peak_ = std::min(peak_, px.y);
    half_ = std::max(half_, rise());
    if (rise() > 3 && px.y >= peak_ + 0.6 * rise()) {
      if (std::abs(px.x - base_.x) < 0.6 * rise()) {
        greatest_ = std::max(greatest_, rise());
        rest_y_ = base_.y;
      }
      restart(px);
    }
  }
  // Of the greatest whole rise and fall so far; 0 for none.
  [[nodiscard]] double cycle_px() const { return greatest_; }
  // Of the greatest rise so far, come back or not.
  [[nodiscard]] double rise_px() const { return half_; }
  [[nodiscard]] double rest_y_px() const { return greatest_ > 0 ? rest_y_ : base_.y; }

 private:
  void restart(Point px) {
    base_ = px;
    peak_ = px.y;
    started_ = true;
  }
  [[nodiscard]] double rise() const { return base_.y - peak_; }

  Point base_;
  double peak_ = 0.0;
  double greatest_ = 0.0;
  double half_ = 0.0;
  double rest_y_ = 0.0;
  bool started_ = false;
};

}  // namespace risetrace::sticker
