#include "model/card.h"

namespace risetrace::model {

std::array<Point, 4> tag_corners_cm(const TagCard& card, const TagPattern& tag) {
  const double half = card.tag_side_cm / 2;
  const Point c = tag.centre_cm;
  return {Point{c.x - half, c.y + half}, Point{c.x + half, c.y + half}, Point{c.x + half, c.y - half},
          Point{c.x - half, c.y - half}};
}

}  // namespace risetrace::model
