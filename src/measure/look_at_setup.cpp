#include "measure/look_at_setup.h"

#include <algorithm>
#include <cmath>

#include "base/rounded.h"
#include "sole/floor_view.h"

namespace risetrace::measure {
namespace {

constexpr double about_radius_cm = 1.0;  // of a sticker, where no card tells (models/stickers.json: 0.75 to 1.25)

double about_px_per_cm(const Setup& setup, const sticker::Spot& spot) {
  return setup.scale.px_per_cm.value_or(spot.look.outer_radius_px / about_radius_cm);
}

// In the sticker's plane, whose origin is as high as the card's middle; the card stands on the floor.
double floor_cm(const Setup& setup) { return -setup.card->height_cm / 2; }

std::optional<double> up_from_floor_cm(const Setup& setup, Point px) {
  if (!setup.card || !setup.scale.cm_from_px) return std::nullopt;
  return setup.scale.cm_from_px->map(px).y - floor_cm(setup);
}

double brightest_in(const clip::GreyPicture& picture, const sticker::Spot& spot) {
  const double r = spot.look.outer_radius_px;
  const Box box{static_cast<int>(std::lround(spot.px.x - r)), static_cast<int>(std::lround(spot.px.y - r)),
                static_cast<int>(2 * r) + 1, static_cast<int>(2 * r) + 1};
  std::vector<float> grey = clip::patch_of(picture, box).grey;
  if (grey.empty()) return 0;
  // The brightest few per cent may be noise.
  const auto at = grey.begin() + static_cast<std::ptrdiff_t>(grey.size() * 9 / 10);
  std::nth_element(grey.begin(), at, grey.end());
  return *at;
}

struct FloorLine {
  sole::FloorPlace place;
  double px_per_cm = 0.0;
};

std::optional<FloorLine> floor_below(const Setup& setup, const model::CheckLimits& limits) {
  const Point heel = setup.sticker->spot.px;
  const auto up_cm = up_from_floor_cm(setup, heel);
  if (!up_cm || *up_cm < 0 || *up_cm > limits.heel_up_cm) return std::nullopt;
  const auto px_from_cm = setup.scale.cm_from_px->inverse();
  if (!px_from_cm) return std::nullopt;
  const Point heel_cm = setup.scale.cm_from_px->map(heel);
  const double floor = heel_cm.y - *up_cm;
  FloorLine line;
  line.place.below_heel_px = px_from_cm->map({heel_cm.x, floor});
  const Point beside = px_from_cm->map({heel_cm.x + 1, floor});
  const Point above = px_from_cm->map({heel_cm.x, floor + 1});
  line.place.along = {beside.x - line.place.below_heel_px.x, beside.y - line.place.below_heel_px.y};
  line.place.up = {above.x - line.place.below_heel_px.x, above.y - line.place.below_heel_px.y};
  line.place.from_cm = limits.toe_from_cm;
  line.place.to_cm = limits.toe_to_cm;
  line.px_per_cm = std::hypot(line.place.up.x, line.place.up.y);
  return line;
}

// +1: right. The forefoot's sticker tells; else the card stands behind the heel more often than before the toes, and
// stands on the stretch that would be looked at; else the side where more stands out.
int side_of_toes(const clip::GreyPicture& picture, const Setup& setup, const FloorLine& floor,
                 const std::vector<sticker::Spot>& spots, const model::CheckLimits& limits) {
  const Point heel = setup.sticker->spot.px;
  for (const sticker::Spot& spot : spots) {
    const double dx = spot.px.x - heel.x;
    const bool like_heel = spot.look_score >= limits.same_look * setup.sticker->spot.look_score;
    if (!like_heel || inside(setup.card->outline_px, spot.px)) continue;
    const bool level = std::abs(spot.px.y - heel.y) < 0.5 * std::abs(dx);
    const double ahead_cm = std::abs(dx) / floor.px_per_cm;
    if (level && ahead_cm > floor.place.from_cm && ahead_cm < floor.place.to_cm) return dx > 0 ? 1 : -1;
  }
  const auto& quad = setup.card->outline_px;
  const double card_x = (quad[0].x + quad[1].x + quad[2].x + quad[3].x) / 4;
  if (std::abs(card_x - heel.x) < 2 * floor.place.to_cm * floor.px_per_cm) return card_x < heel.x ? 1 : -1;
  const double right = sole::floor_contrast(picture, floor.place, 1).value_or(0);
  const double left = sole::floor_contrast(picture, floor.place, -1).value_or(0);
  return right >= left ? 1 : -1;
}

}  // namespace

bool inside(const std::array<Point, 4>& quad, Point p) {
  for (std::size_t i = 0; i < 4; ++i) {
    const Point a = quad.at(i);
    const Point b = quad.at((i + 1) % 4);
    if ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) < 0) return false;
  }
  return true;
}

std::optional<CardSeen> card_seen(const clip::GreyPicture& picture, const Setup& setup, const model::Cards& cards) {
  const scale::Scale& scale = setup.scale;
  const bool tags = scale.from == scale::ScaleFrom::tags;
  const auto& outline = scale.card_outline_px;
  if (!outline || !scale.px_per_cm) return std::nullopt;
  CardSeen card;
  card.height_cm = tags ? cards.tags.side_cm : cards.id_1.height_cm;
  card.outline_px = *outline;
  double nearest_px = 1e9;
  for (const Point p : *outline) {
    nearest_px = std::min({nearest_px, p.x, p.y, picture.width - 1 - p.x, picture.height - 1 - p.y});
  }
  card.to_picture_edge_cm = nearest_px / *scale.px_per_cm;
  const Point foot{((*outline)[2].x + (*outline)[3].x) / 2, ((*outline)[2].y + (*outline)[3].y) / 2};
  const Point head{((*outline)[0].x + (*outline)[1].x) / 2, ((*outline)[0].y + (*outline)[1].y) / 2};
  card.lean_deg = std::atan2(head.x - foot.x, foot.y - head.y) * 180 / M_PI;
  const double focal_px = std::max(picture.width, picture.height) / cards.usual_field_of_view;
  card.seen_distance_m = focal_px / *scale.px_per_cm / 100;
  if (tags) card.look = scale::look_of_card(picture, scale, cards.tags);
  return card;
}

Result<StickerSeen> sticker_seen(const clip::GreyPicture& picture, const Setup& setup,
                                 const std::vector<sticker::Spot>& spots, const model::CheckLimits& limits) {
  std::vector<sticker::Spot> likely;
  bool other_sizes = false;
  for (const sticker::Spot& spot : spots) {
    const double across_cm = 2 * spot.look.outer_radius_px / about_px_per_cm(setup, spot);
    const bool on_card = setup.card && inside(setup.card->outline_px, spot.px);
    const bool sized = across_cm >= limits.least_sticker_cm && across_cm <= limits.greatest_sticker_cm;
    other_sizes = other_sizes || (!on_card && !sized);
    if (spot.rose || (!on_card && sized)) likely.push_back(spot);
  }
  if (likely.empty() && !other_sizes) {
    return Error{Fault::sticker_not_found, "nothing round and high in contrast was seen in the picture", ""};
  }
  if (likely.empty()) {
    return Error{Fault::sticker_not_found,
                 "what is round in the picture is not of a sticker's size, " + rounded(limits.least_sticker_cm, 1) +
                     " to " + rounded(limits.greatest_sticker_cm, 0) + " cm across",
                 ""};
  }
  const auto low = [&](const sticker::Spot& spot) {
    const auto up = up_from_floor_cm(setup, spot.px);
    return up && *up > 0 && *up < limits.heel_up_cm;
  };
  if (std::any_of(likely.begin(), likely.end(), low)) std::erase_if(likely, [&](const auto& s) { return !low(s); });
  StickerSeen seen;
  seen.spot = likely.front();
  seen.brightest_grey = brightest_in(picture, seen.spot);
  const auto alike = [&](const sticker::Spot& s) {
    const double apart_px = std::hypot(s.px.x - seen.spot.px.x, s.px.y - seen.spot.px.y);
    return s.look_score >= limits.same_look * seen.spot.look_score && apart_px > seen.spot.look.outer_radius_px;
  };
  seen.others = static_cast<int>(std::count_if(likely.begin() + 1, likely.end(), alike));
  return seen;
}

Room room_around(const clip::GreyPicture& picture, const Setup& setup, const std::vector<sticker::Spot>& spots,
                 const model::CheckLimits& limits) {
  Room room;
  const sticker::Spot& spot = setup.sticker->spot;
  room.above_cm = (spot.px.y - spot.look.outer_radius_px) / about_px_per_cm(setup, spot);
  const auto floor = floor_below(setup, limits);
  if (!floor) return room;
  const int side = side_of_toes(picture, setup, *floor, spots, limits);
  constexpr double whole_shoe = 1.2;  // of the stretch looked at, which ends at the ball
  const double toes_cm = side * whole_shoe * limits.toe_to_cm;
  const Point toes{floor->place.below_heel_px.x + toes_cm * floor->place.along.x,
                   floor->place.below_heel_px.y + toes_cm * floor->place.along.y};
  room.floor_below_cm = (picture.height - 1 - std::max(toes.y, floor->place.below_heel_px.y)) / floor->px_per_cm;
  room.toes_in_view = toes.x >= 0 && toes.x <= picture.width - 1;
  room.floor_contrast = sole::floor_contrast(picture, floor->place, side);
  return room;
}

}  // namespace risetrace::measure
