// From what the rooms saw in the first seconds to what a set-up is judged by. Geometry only.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "base/result.h"
#include "measure/setup.h"
#include "model/card.h"
#include "model/check_limits.h"

namespace risetrace::measure {

// Of a quad whose corners go round clockwise as seen, upright pixels.
bool inside(const std::array<Point, 4>& quad, Point p);

// The card in a picture; `setup` has its scale. Empty where that is not of a card.
std::optional<CardSeen> card_seen(const clip::GreyPicture& picture, const Setup& setup, const model::Cards& cards);

// The spot that is taken for the heel's sticker: the best of those off the card, of a sticker's size, and near the
// floor if any is. Fault sticker_not_found.
Result<StickerSeen> sticker_seen(const clip::GreyPicture& picture, const Setup& setup,
                                 const std::vector<sticker::Spot>& spots, const model::CheckLimits& limits);

// Around the sticker that `setup` has. `spots` may hold the forefoot's, which tells where the toes are.
Room room_around(const clip::GreyPicture& picture, const Setup& setup, const std::vector<sticker::Spot>& spots,
                 const model::CheckLimits& limits);

}  // namespace risetrace::measure
