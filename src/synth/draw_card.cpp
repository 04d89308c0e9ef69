#include <algorithm>
#include <cmath>

#include "synth/backdrop.h"
#include "synth/outline.h"

namespace risetrace::synth {
namespace {

constexpr double side_step_cm = 1.0;
const Colour paper{0.93, 0.93, 0.92};
const Colour ink{0.07, 0.07, 0.075};

struct CardBrush {
  const PlacedCard& card;
  double time_s;
  Painter& painter;
  LightPicture& into;

  void draw(const std::vector<std::vector<Point>>& outlines, const Fill& fill) {
    painter.draw(
        outlines, fill, [this](Point p, double) { return card.spot_cm(p, time_s); }, time_s, into, nullptr);
  }
};

std::vector<std::vector<Point>> black_modules(const model::TagCard& card, const model::TagPattern& tag) {
  std::vector<std::vector<Point>> out;
  const double module_cm = card.tag_side_cm / card.modules;
  const Point top_left = model::tag_corners_cm(card, tag)[0];
  for (int row = 0; row < card.modules; ++row) {
    for (int column = 0; column < card.modules; ++column) {
      const std::size_t at =
          static_cast<std::size_t>(row) * static_cast<std::size_t>(card.modules) + static_cast<std::size_t>(column);
      if (!tag.black[at]) continue;
      const double x = top_left.x + column * module_cm;
      const double y = top_left.y - row * module_cm;
      out.push_back(with_short_sides(rectangle({x, y - module_cm}, {x + module_cm, y}), side_step_cm));
    }
  }
  return out;
}

// Laid out as the printed card's: its line 1.5 mm below the card's middle, a mark each millimetre above it, and an
// arrow that says which way is up. Its lettering is left out.
void draw_ruler(CardBrush& brush, const model::TagCard& card) {
  constexpr double line_cm = 0.015;
  constexpr double base_cm = -0.15;
  const double half_cm = card.ruler_cm / 2;
  std::vector<std::vector<Point>> marks;
  marks.push_back(rectangle({-half_cm, base_cm - line_cm / 2}, {half_cm, base_cm + line_cm / 2}));
  brush.draw(marks, plain(ink));
  marks.clear();
  for (int mm = 0; mm <= std::lround(card.ruler_cm * 10); ++mm) {
    const double x = -half_cm + mm / 10.0;
    const double mark_cm = mm % 10 == 0 ? 0.46 : (mm % 5 == 0 ? 0.34 : 0.22);
    marks.push_back(rectangle({x - line_cm / 2, base_cm}, {x + line_cm / 2, base_cm + mark_cm}));
  }
  brush.draw(marks, plain(ink));
  brush.draw({{{0.0, 6.8}, {0.7, 5.8}, {0.25, 5.8}, {0.25, 4.8}, {-0.25, 4.8}, {-0.25, 5.8}, {-0.7, 5.8}}}, plain(ink));
}

void draw_tag_card(CardBrush& brush, const model::TagCard& card) {
  const double half_cm = card.side_cm / 2;
  const std::vector<Point> sheet = with_short_sides(rectangle({-half_cm, -half_cm}, {half_cm, half_cm}), side_step_cm);
  brush.draw({sheet},
             {{{0.0, scaled(paper, 0.97)}, {1.0, scaled(paper, 1.02)}}, {-half_cm, -half_cm}, {half_cm, half_cm}});
  for (const model::TagPattern& tag : card.tags) brush.draw(black_modules(card, tag), plain(ink));
  draw_ruler(brush, card);
}

std::vector<Point> rounded_rectangle(Point half_cm, double radius_cm) {
  std::vector<Point> out;
  const std::vector<Point> round = circle({0, 0}, radius_cm, 64);  // its first point lies to the right
  for (std::size_t quarter = 0; quarter < 4; ++quarter) {
    const double x = (quarter == 0 || quarter == 3 ? 1 : -1) * (half_cm.x - radius_cm);
    const double y = (quarter < 2 ? 1 : -1) * (half_cm.y - radius_cm);
    for (std::size_t i = 0; i <= 16; ++i) {
      const Point p = round[(quarter * 16 + i) % 64];
      out.push_back({std::clamp(x + p.x, -half_cm.x, half_cm.x), std::clamp(y + p.y, -half_cm.y, half_cm.y)});
    }
  }
  return with_short_sides(out, side_step_cm);
}

void draw_id_card(CardBrush& brush, const model::IdCard& card) {
  const double radius_cm = (card.corner_radius_min_cm + card.corner_radius_max_cm) / 2;
  const Point half{card.width_cm / 2, card.height_cm / 2};
  const Colour colour = brush.card.spec().colour;
  const Fill sheen{{{0.0, scaled(colour, 0.92)}, {1.0, scaled(colour, 1.12)}}, {-half.x, -half.y}, {half.x, half.y}};
  brush.draw({rounded_rectangle(half, radius_cm)}, sheen);
  if (brush.card.spec().face == CardFace::plain) return;
  const Colour pale = blended(colour, {1, 1, 1}, 0.75);
  std::vector<Point> band = rectangle({-half.x + 0.5, half.y - 1.1}, {-half.x + 3.4, half.y - 0.6});
  brush.draw({band}, plain(pale));
  const std::vector<Point> chip = rounded_rectangle({0.6, 0.48}, 0.12);
  std::vector<Point> moved;
  moved.reserve(chip.size());
  for (const Point& p : chip) moved.push_back({p.x - half.x + 1.6, p.y + 0.35});
  brush.draw({moved}, {{{0.0, {0.70, 0.58, 0.30}}, {1.0, {0.88, 0.80, 0.52}}}, {-3.3, 0.0}, {-2.1, 0.8}});
  for (int group = 0; group < 4; ++group) {
    std::vector<std::vector<Point>> digits;
    for (int digit = 0; digit < 4; ++digit) {
      const double x = -half.x + 0.8 + group * 1.75 + digit * 0.36;
      digits.push_back(rectangle({x, -0.95}, {x + 0.2, -0.55}));
    }
    brush.draw(digits, plain(pale));
  }
  brush.draw({rectangle({-half.x + 0.8, -half.y + 0.5}, {-half.x + 3.8, -half.y + 0.75})}, plain(pale));
}

}  // namespace

void draw_card(const PlacedCard& card, const model::Cards& cards, double time_s, Painter& painter, LightPicture& into) {
  CardBrush brush{card, time_s, painter, into};
  if (card.kind() == CardKind::tags) {
    draw_tag_card(brush, cards.tags);
  } else {
    draw_id_card(brush, cards.id_1);
  }
}

}  // namespace risetrace::synth
