// Points, boxes and angles. The name of a variable says the frame and the unit: heel_px, card_cm.
#pragma once

#include <numbers>

namespace risetrace {

inline constexpr double rad_per_deg = std::numbers::pi / 180.0;
inline constexpr double deg_per_rad = 180.0 / std::numbers::pi;

struct Point {
  double x = 0.0;
  double y = 0.0;
};

// Whole pixels: columns x0 .. x0+width-1, rows y0 .. y0+height-1. May reach outside a picture until clipped to it.
struct Box {
  int x0 = 0;
  int y0 = 0;
  int width = 0;
  int height = 0;
};

}  // namespace risetrace
