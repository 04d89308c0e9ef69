#include "synth/backdrop.h"

#include <algorithm>
#include <cmath>

#include "synth/leg.h"
#include "synth/outline.h"
#include "synth/patterns.h"
#include "synth/room_brush.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_background = 2;

// The part of the wall that the picture's border sees, a little more for a swaying camera.
void find_reach(RoomBrush& brush) {
  const View& view = brush.painter.view();
  const double w = view.stored_width();
  const double h = view.stored_height();
  brush.left_cm = 1e9;
  brush.right_cm = -1e9;
  // The same at every instant, whichever is drawn: what is drawn at random is drawn from left to right.
  constexpr double apart_s = 0.173;
  const int instants = view.sways() ? 64 : 1;
  for (int i = 0; i < instants; ++i) {
    const double at_s = view.sways() ? i * apart_s : brush.time_s;
    for (const Point corner : {Point{0, 0}, Point{w, 0}, Point{w, h}, Point{0, h}, Point{w / 2, 0}, Point{w / 2, h}}) {
      const auto spot = view.sight_on_plane(corner, brush.wall_z_cm(), at_s);
      if (!spot) continue;
      brush.left_cm = std::clamp(spot->x, -1500.0, brush.left_cm);
      brush.right_cm = std::clamp(spot->x, brush.right_cm, 1500.0);
      brush.top_cm = std::clamp(spot->y, brush.top_cm, 1000.0);
    }
  }
  brush.left_cm -= 20;
  brush.right_cm += 20;
  brush.top_cm += 20;
}

void draw_tiles(RoomBrush& brush) {
  const double size_cm = brush.scene.background.size_cm;
  const double joint_cm = std::min(0.4, size_cm / 10);
  const double start = std::floor(brush.left_cm / size_cm) * size_cm;
  std::vector<std::vector<Point>> joints;
  for (int i = 0; i < steps_over(brush.right_cm - start, size_cm); ++i) {
    const double x = start + i * size_cm;
    joints.push_back(with_short_sides(rectangle({x, 0}, {x + joint_cm, brush.top_cm}), 10));
  }
  brush.on_wall(joints, plain(brush.scene.background.second));
  joints.clear();
  for (int i = 0; i < steps_over(brush.top_cm, size_cm); ++i) {
    const double y = i * size_cm;
    joints.push_back(with_short_sides(rectangle({brush.left_cm, y}, {brush.right_cm, y + joint_cm}), 10));
  }
  brush.on_wall(joints, plain(brush.scene.background.second));
}

// Rows of bricks, every other row moved by half a brick, each brick with its own tone.
void draw_bricks(RoomBrush& brush) {
  const Background& background = brush.scene.background;
  const double length_cm = background.size_cm;
  const double height_cm = length_cm / 3;
  const double joint_cm = length_cm / 20;
  for (int row = 0; row < steps_over(brush.top_cm, height_cm); ++row) {
    const double y = row * height_cm;
    const double start = std::floor(brush.left_cm / length_cm) * length_cm - (row % 2 == 0 ? 0.0 : length_cm / 2);
    for (int i = 0; i < steps_over(brush.right_cm - start, length_cm); ++i) {
      const double x = start + i * length_cm;
      const double tone = 1.0 + background.contrast * brush.random.between(-0.6, 0.6);
      const std::vector<Point> brick = rectangle({x, y}, {x + length_cm - joint_cm, y + height_cm - joint_cm});
      brush.on_wall({with_short_sides(brick, 5)}, plain(scaled(background.wall, tone)));
    }
  }
}

void draw_blobs(RoomBrush& brush) {
  const Background& background = brush.scene.background;
  for (int i = 0; i < background.count; ++i) {
    const Point centre{brush.random.between(brush.left_cm, brush.right_cm), brush.random.between(8, brush.top_cm)};
    const double radius_cm = background.size_cm / 2 * brush.random.between(0.15, 1.0);
    const bool dark = brush.random.uniform() < 0.5;
    const Colour rim = dark ? scaled(background.second, 0.3) : blended(background.wall, {1, 1, 1}, 0.8);
    brush.on_wall({circle(centre, radius_cm, 64)}, plain(rim));
    if (brush.random.uniform() < 0.5) continue;
    const Colour middle = dark ? blended(background.wall, {1, 1, 1}, 0.8) : scaled(background.second, 0.3);
    brush.on_wall({circle(centre, radius_cm * brush.random.between(0.4, 0.8), 64)}, plain(middle));
  }
}

double lattice(std::uint64_t seed, int x, int y) {
  const auto key = static_cast<std::uint64_t>(static_cast<std::uint32_t>(x)) << 32U | static_cast<std::uint32_t>(y);
  return static_cast<double>(mixed_seed(seed, purpose_background, key) >> 11U) * 0x1.0p-53 * 2.0 - 1.0;
}

// Value noise: random values on a lattice, blended smoothly.
double grain_at(std::uint64_t seed, double x, double y) {
  const double fx = std::floor(x);
  const double fy = std::floor(y);
  const auto ix = static_cast<int>(fx);
  const auto iy = static_cast<int>(fy);
  const double sx = (x - fx) * (x - fx) * (3 - 2 * (x - fx));
  const double sy = (y - fy) * (y - fy) * (3 - 2 * (y - fy));
  const double top = lattice(seed, ix, iy) * (1 - sx) + lattice(seed, ix + 1, iy) * sx;
  const double bottom = lattice(seed, ix, iy + 1) * (1 - sx) + lattice(seed, ix + 1, iy + 1) * sx;
  return top * (1 - sy) + bottom * sy;
}

// Four sizes of grain, each half as large and 0.6 times as strong as the one before.
void draw_texture(RoomBrush& brush) {
  const Background& background = brush.scene.background;
  const View& view = brush.painter.view();
  for (int y = 0; y < view.stored_height(); ++y) {
    const double row_time_s = brush.time_s + view.row_delay_s(y);
    for (int x = 0; x < view.stored_width(); ++x) {
      const Point px{static_cast<double>(x), static_cast<double>(y)};
      const auto spot = view.sight_on_plane(px, brush.wall_z_cm(), row_time_s);
      if (!spot || spot->y < 0) continue;
      double sum = 0;
      double strength = 0.46;
      double size_cm = background.size_cm;
      for (std::uint64_t octave = 0; octave < 4; ++octave, strength *= 0.6, size_cm /= 2) {
        sum += strength * grain_at(brush.scene.seed * 8 + octave, spot->x / size_cm, spot->y / size_cm);
      }
      const double tone = std::max(0.0, 1.0 + background.contrast * sum);
      const auto light = static_cast<float>(brush.painter.tone().gamma() ? tone * tone : tone);
      for (int plane = 0; plane < 3; ++plane) brush.into.row(plane, y)[x] *= light;
    }
  }
}

void draw_wall(RoomBrush& brush, const Photo* photo) {
  const Background& background = brush.scene.background;
  const std::vector<Point> wall = with_short_sides(rectangle({brush.left_cm, -5}, {brush.right_cm, brush.top_cm}), 20);
  Fill fill = plain(background.kind == BackgroundKind::bricks ? background.second : background.wall);
  if (background.kind == BackgroundKind::gradient) {
    fill = {{{0.0, background.wall}, {1.0, background.second}},
            {brush.left_cm + 20, brush.top_cm - 20},
            {brush.right_cm - 20, 0}};
  }
  brush.on_wall({wall}, fill);
  if (background.kind == BackgroundKind::tiles) draw_tiles(brush);
  if (background.kind == BackgroundKind::bricks) draw_bricks(brush);
  if (background.kind == BackgroundKind::texture) draw_texture(brush);
  if (background.kind == BackgroundKind::blobs) draw_blobs(brush);
  if (background.kind == BackgroundKind::photo && photo != nullptr) draw_photo(brush, *photo);
}

void draw_floor(RoomBrush& brush) {
  const Background& background = brush.scene.background;
  const double near_cm = brush.near_cm();
  const double left = brush.left_cm - 50;
  const double right = brush.right_cm + 50;
  const Fill fill{{{0.0, scaled(background.floor, 0.9)}, {1.0, scaled(background.floor, 1.1)}},
                  {brush.scene.leg.x_cm, brush.wall_z_cm()},
                  {brush.scene.leg.x_cm, 40.0}};
  brush.on_floor({with_short_sides(rectangle({left, brush.wall_z_cm()}, {right, near_cm}), 20)}, fill);
  draw_floor_pattern(brush);
  if (background.kind == BackgroundKind::bricks || background.kind == BackgroundKind::photo) return;
  const Colour skirting = blended(background.wall, {1, 1, 1}, 0.45);
  brush.on_wall({with_short_sides(rectangle({left, 0}, {right, 6.5}), 20)}, plain(skirting));
  brush.on_wall({with_short_sides(rectangle({left, 6.2}, {right, 6.5}), 20)}, plain(scaled(skirting, 0.82)));
}

// Nested ellipses on the floor add up to a soft shadow.
void draw_shadow(RoomBrush& brush, Point middle_cm, Point half_cm) {
  for (int i = 0; i < 8; ++i) {
    std::vector<Point> ring = circle({0, 0}, 1.0 - 0.1 * i, 48);
    for (Point& p : ring) p = {middle_cm.x + p.x * half_cm.x, middle_cm.y + p.y * half_cm.y};
    brush.on_floor({ring}, plain({0.03, 0.03, 0.03}, 0.08));
  }
}

void draw_other_foot(RoomBrush& brush) {
  Scene other = brush.scene;
  other.leg.x_cm = brush.scene.other_foot->x_cm;
  for (Sticker* sticker :
       {&other.stickers.forefoot, &other.stickers.ankle, &other.stickers.knee, &other.stickers.hip}) {
    sticker->absent = true;
  }
  other.stickers.heel.absent = true;
  const double z = -brush.scene.other_foot->behind_cm;
  if (brush.scene.light.shadow) draw_shadow(brush, {other.leg.x_cm + 13, z}, {18, 7});
  const LegModel leg(other);
  const Pose standing = leg.raised(0.0);
  for (const LegShape& shape : leg.shapes()) {
    const auto placing = [&](Point p, double) {
      const Spot spot = leg.spot_cm(shape.part, p, standing);
      return Spot{spot.x, spot.y, z};
    };
    brush.painter.draw({shape.outline_cm}, shape.fill, placing, brush.time_s, brush.into, nullptr);
  }
}

// The wall that the knee goes to: its end, seen from the side, in the leg's plane.
void draw_knee_wall(RoomBrush& brush) {
  const LungeSpec& lunge = *brush.scene.movement.lunge;
  const LegModel leg(brush.scene);
  constexpr double thick_cm = 7.0;
  constexpr double high_cm = 120.0;
  const double near_cm = leg.toe_tip_point_cm().x + *lunge.wall_cm;
  const std::vector<Point> end = with_short_sides(rectangle({near_cm, 0}, {near_cm + thick_cm, high_cm}), 10);
  const auto placing = [&](Point p, double) { return leg.in_scene(p); };
  brush.painter.draw({end}, plain(scaled(brush.scene.background.wall, 0.6)), placing, brush.time_s, brush.into,
                     nullptr);
}

}  // namespace

void draw_backdrop(const Scene& scene, const model::Cards& cards, const Photo* photo, double time_s, Painter& painter,
                   LightPicture& into) {
  RoomBrush brush{scene, time_s, painter, into, Random(mixed_seed(scene.seed, purpose_background))};
  find_reach(brush);
  draw_wall(brush, photo);
  draw_floor(brush);
  if (scene.background.kind == BackgroundKind::clutter) {
    draw_clutter(brush);
    draw_texture(brush);
  }
  std::vector<PlacedCard> placed;
  for (const Card& card : scene.cards) placed.emplace_back(scene, card, cards);
  std::stable_sort(placed.begin(), placed.end(), [](const PlacedCard& a, const PlacedCard& b) {
    return a.spec().offset_cm > b.spec().offset_cm;  // the farthest first
  });
  for (const PlacedCard& card : placed) {
    const Spot middle = card.spot_cm({0, -card.half_cm().y}, time_s);
    if (scene.light.shadow && middle.y < 1.0) draw_shadow(brush, {middle.x, middle.z}, {card.half_cm().x * 1.15, 3});
  }
  if (scene.other_foot && !scene.other_foot->hops && !scene.other_foot->held_up) draw_other_foot(brush);
  if (scene.movement.lunge && scene.movement.lunge->wall_cm) draw_knee_wall(brush);
  for (const PlacedCard& card : placed) draw_card(card, cards, time_s, painter, into);
}

}  // namespace risetrace::synth
