// Whether a spot has risen and come back, the mark of a heel in a raise. Pixels, y down.
#pragma once

#include <algorithm>
#include <cmath>

#include "base/geometry.h"

namespace risetrace::sticker {

// Feed each seen place in order. A rise that drifts sideways by more than its height is a step, and one that is done in
// a leap is the follower's, from one spot to another: neither is a raise, and the reckoning starts anew.
class Excursion {
 public:
  // `largest_leap`: from one place to the next, as a part of the rise.
  explicit Excursion(double largest_leap) : largest_leap_(largest_leap) {}

  void push(Point px) {
    if (!started_ || px.y > base_.y) restart(px);  // lower than where the rise began: that is where it begins
    largest_step_ = std::max(largest_step_, std::abs(px.y - last_y_));
    last_y_ = px.y;
    peak_ = std::min(peak_, px.y);
    greatest_rise_ = std::max(greatest_rise_, rise());
    constexpr double least_rise_px = 3;
    if (rise() <= least_rise_px || px.y < peak_ + 0.6 * rise()) return;
    if (std::abs(px.x - base_.x) < 0.6 * rise() && largest_step_ < largest_leap_ * rise()) {
      greatest_cycle_ = std::max(greatest_cycle_, rise());
      rest_y_ = base_.y;
    }
    restart(px);
  }
  // The spot was out of sight: what it did meanwhile is not known.
  void break_off() { started_ = false; }
  // Of the greatest whole rise and fall so far; 0 for none.
  [[nodiscard]] double cycle_px() const { return greatest_cycle_; }
  // Of the greatest rise so far, come back or not.
  [[nodiscard]] double rise_px() const { return greatest_rise_; }
  [[nodiscard]] double rest_y_px() const { return greatest_cycle_ > 0 ? rest_y_ : base_.y; }

 private:
  void restart(Point px) {
    base_ = px;
    peak_ = px.y;
    last_y_ = px.y;
    largest_step_ = 0;
    started_ = true;
  }
  [[nodiscard]] double rise() const { return base_.y - peak_; }

  double largest_leap_;
  Point base_;
  double peak_ = 0.0;
  double last_y_ = 0.0;
  double largest_step_ = 0.0;
  double greatest_cycle_ = 0.0;
  double greatest_rise_ = 0.0;
  double rest_y_ = 0.0;
  bool started_ = false;
};

}  // namespace risetrace::sticker
