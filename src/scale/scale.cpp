#include "scale/scale.h"

namespace risetrace::scale {

Point ScaleDoubt::map(Point px) const {
  const double seen_x = (px.x - centre_px.x) / focal_px;
  const double seen_y = (px.y - centre_px.y) / focal_px;
  double x = seen_x;
  double y = seen_y;
  for (int i = 0; k1 != 0 && i < 20; ++i) {  // a contraction for the small k1 of a doubt
    const double grown = 1 + k1 * (x * x + y * y);
    x = seen_x / grown;
    y = seen_y / grown;
  }
  return cm_from_px.map({centre_px.x + focal_px * x, centre_px.y + focal_px * y});
}

}  // namespace risetrace::scale
