#include "sole/cycles.h"

#include <algorithm>

namespace risetrace::sole {

std::optional<Turn> CycleFinder::push(double time_s, double up_px) {
  if (!started_) {
    started_ = true;
    low_ = {false, time_s, up_px};
    high_ = {true, time_s, up_px};
    return std::nullopt;
  }
  constexpr double share = 0.3;
  const double back_px = std::max(least_px_, share * largest_swing_px_);
  if (looking_for_high_) {
    if (up_px > high_.up_px) high_ = {true, time_s, up_px};
    if (up_px < low_.up_px) high_ = low_ = {false, time_s, up_px};
    high_.high = true;
    if (high_.up_px - low_.up_px < back_px || high_.up_px - up_px < back_px) return std::nullopt;
    largest_swing_px_ = std::max(largest_swing_px_, high_.up_px - low_.up_px);
    looking_for_high_ = false;
    low_ = {false, time_s, up_px};
    return high_;
  }
  if (up_px < low_.up_px) low_ = {false, time_s, up_px};
  if (up_px - low_.up_px < back_px) return std::nullopt;
  looking_for_high_ = true;
  high_ = {true, time_s, up_px};
  return low_;
}

}  // namespace risetrace::sole
