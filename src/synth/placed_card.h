// Where a card stands.
#pragma once

#include "model/card.h"
#include "synth/scene.h"
#include "synth/view.h"

namespace risetrace::synth {

class PlacedCard {
 public:
  PlacedCard(const Scene& scene, const Card& card, const model::Cards& cards);

  [[nodiscard]] CardKind kind() const { return card_.kind; }
  [[nodiscard]] const Card& spec() const { return card_; }
  // Half of the card's width and height.
  [[nodiscard]] Point half_cm() const { return half_cm_; }
  // From the card's own plane (origin its middle, x right, y up) to the scene.
  [[nodiscard]] Spot spot_cm(Point card_cm, double time_s) const;

 private:
  Card card_;
  Point half_cm_;
  Spot middle_cm_;
};

}  // namespace risetrace::synth
