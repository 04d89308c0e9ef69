// From the picture to the leg's plane, and what may be wrong with that.
#pragma once

#include <cstddef>
#include <vector>

#include "math/homography.h"
#include "model/angle_rules.h"
#include "model/card.h"
#include "scale/scale.h"

namespace risetrace::ankle {

// Takes upright pixels of the reference view to the plane: x right, y up, in cm where there is a scale, else in pixels.
// By a card: its map, and its doubts (scale.h). Else the picture itself is taken for the plane, and the doubts are that
// it may be turned against it about each of its three axes (models/cards.json, models/angles.json).
class PlaneMap {
 public:
  PlaneMap(const scale::Scale& scale, int width_px, int height_px, const model::Cards& cards,
           const model::AngleRules& rules);

  [[nodiscard]] Point map(Point ref_px) const;
  // As it would be were one input off by one standard uncertainty; the inputs are independent.
  [[nodiscard]] std::size_t doubts() const { return by_card() ? card_doubts_.size() : turned_.size(); }
  [[nodiscard]] Point map_doubted(std::size_t doubt, Point ref_px) const;

  [[nodiscard]] bool by_card() const { return !card_doubts_.empty(); }
  [[nodiscard]] bool in_cm() const { return cm_from_px_.has_value(); }
  // In the plane and its unit: where the camera looks at it through the picture's middle, and how far away it is.
  [[nodiscard]] Point axis() const { return axis_; }
  [[nodiscard]] double distance() const { return distance_; }

 private:
  std::optional<math::Homography> cm_from_px_;
  std::vector<scale::ScaleDoubt> card_doubts_;
  std::vector<math::Homography> turned_;  // of pixels
  Point axis_;
  double distance_ = 0.0;
};

}  // namespace risetrace::ankle
