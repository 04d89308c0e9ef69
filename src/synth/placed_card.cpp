#include "synth/placed_card.h"

#include <cmath>

#include "base/geometry.h"

namespace risetrace::synth {

PlacedCard::PlacedCard(const Scene& scene, const Card& card, const model::Cards& cards) : card_(card) {
  half_cm_ = {cards.id_1.width_cm / 2, cards.id_1.height_cm / 2};
  if (card.kind == CardKind::tags) half_cm_ = {cards.tags.side_cm / 2, cards.tags.side_cm / 2};
  const double forward = scene.leg.facing == Facing::right ? 1.0 : -1.0;
  middle_cm_ = {card.x_cm.value_or(scene.leg.x_cm - forward * 22.0),
                card.y_cm.value_or(half_cm_.y * card.print_scale * card.print_stretch), -card.offset_cm};
}

// Printed at some size, rolled in its plane, then leaned about the level axis, then turned about the upright axis.
Spot PlacedCard::spot_cm(Point card_cm, double time_s) const {
  const double knocked = card_.knocked_s && time_s >= *card_.knocked_s ? 1.0 : 0.0;
  const double roll = (card_.roll_deg + knocked * card_.knocked_roll_deg) * rad_per_deg;
  const double lean = card_.lean_deg * rad_per_deg;
  const double turn = card_.turn_deg * rad_per_deg;
  const Point printed{card_cm.x * card_.print_scale, card_cm.y * card_.print_scale * card_.print_stretch};
  const double x = printed.x * std::cos(roll) - printed.y * std::sin(roll);
  const double y = printed.x * std::sin(roll) + printed.y * std::cos(roll);
  const double up = y * std::cos(lean);
  const double towards = -y * std::sin(lean);
  return {middle_cm_.x + knocked * card_.knocked_right_cm + x * std::cos(turn) + towards * std::sin(turn),
          middle_cm_.y + knocked * card_.knocked_up_cm + up,
          middle_cm_.z - x * std::sin(turn) + towards * std::cos(turn)};
}

}  // namespace risetrace::synth
