// An ISO/IEC 7810 ID-1 card (any bank card) by its four edges and rounded corners.
#pragma once

#include <array>
#include <vector>

#include "clip/frame.h"
#include "model/card.h"
#include "scale/edges.h"

namespace risetrace::scale {

// Upright pixels; top left, top right, bottom right, bottom left as seen, where the straight edges would cross: the
// card's own corners are rounded off inside them. Every card-like outline is listed, so that two cards can be told from
// one.
std::vector<std::array<Point, 4>> find_id_cards(const clip::GreyPicture& picture, const model::IdCard& card);

// How to measure the edges of a card seen at about these corners.
EdgeOptions id_card_edge_options(const std::array<Point, 4>& about, const model::IdCard& card);

// The card's frame (origin its middle, x right, y up) of the corners above: lying or standing as the outline does.
std::array<Point, 4> id_card_corners_cm(const model::IdCard& card, const std::array<Point, 4>& about);

}  // namespace risetrace::scale
