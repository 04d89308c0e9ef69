#include "synth/patterns.h"

#include <algorithm>
#include <numbers>

#include "synth/outline.h"

namespace risetrace::synth {
namespace {

constexpr double pi = std::numbers::pi;
constexpr std::uint64_t purpose_floor = 11;
constexpr double floor_thing_share = 0.12;  // of clutter
constexpr double finest_share = 0.05;       // of the largest thing
constexpr double joint_cm = 0.35;
constexpr double plank_length_cm = 110.0;
constexpr int speckles = 5000;
constexpr double speckle_near_cm = 70.0;  // from the leg's plane towards the camera; farther ones would be out of sight

Colour some_colour(Random& random, const Background& background) {
  const Colour any{random.between(0.05, 0.95), random.between(0.05, 0.95), random.between(0.05, 0.95)};
  const double grey = 0.2126 * any.r + 0.7152 * any.g + 0.0722 * any.b;
  // Rooms are mostly greyish.
  const Colour dull = blended(any, {grey, grey, grey}, random.between(0.2, 0.95));
  return blended(background.wall, dull, std::min(1.0, 0.25 + background.contrast * random.between(0.6, 2.2)));
}

// One of: a bar or box, a patch with corners at random, a disc or ellipse, a crooked line.
std::vector<Point> some_outline(Random& random, double size_cm) {
  std::vector<Point> out;
  const double turn = random.between(0, pi);
  const double kind = random.uniform();
  if (kind < 0.4) {
    const double thin = size_cm * random.between(0.03, 0.8);
    out = rectangle({-size_cm / 2, -thin / 2}, {size_cm / 2, thin / 2});
  } else if (kind < 0.65) {
    const int corners = 3 + static_cast<int>(random.next() % 5);
    for (int i = 0; i < corners; ++i) {
      const double way = 2 * pi * (i + random.between(0, 0.7)) / corners;
      const double far = size_cm / 2 * random.between(0.4, 1.0);
      out.push_back({far * std::cos(way), far * std::sin(way)});
    }
  } else if (kind < 0.85) {
    out = circle({0, 0}, size_cm / 2, 40);
    const double flat = random.between(0.4, 1.0);
    for (Point& p : out) p.y *= flat;
  } else {
    const double thick = std::max(0.15, size_cm * random.between(0.01, 0.05));
    std::vector<Point> middle;
    middle.reserve(5);
    for (int i = 0; i < 5; ++i) middle.push_back({size_cm * (i / 4.0 - 0.5), size_cm * random.between(-0.25, 0.25)});
    const std::vector<Point> line = smooth_open(middle, 6);
    for (const Point& p : line) out.push_back({p.x, p.y + thick});
    for (auto p = line.rbegin(); p != line.rend(); ++p) out.push_back({p->x, p->y - thick});
  }
  for (Point& p : out) p = {p.x * std::cos(turn) - p.y * std::sin(turn), p.x * std::sin(turn) + p.y * std::cos(turn)};
  return out;
}

Fill some_fill(Random& random, const Background& background, double size_cm) {
  const Colour one = some_colour(random, background);
  if (random.uniform() < 0.4) return plain(one);
  const double way = random.between(0, 2 * pi);
  const Point to{size_cm / 2 * std::cos(way), size_cm / 2 * std::sin(way)};
  return {{{0.0, one}, {1.0, scaled(one, random.between(0.5, 1.3))}}, {-to.x, -to.y}, to};
}

void move_to(std::vector<Point>& outline, Fill& fill, Point place) {
  for (Point& p : outline) p = {p.x + place.x, p.y + place.y};
  fill.from = {fill.from.x + place.x, fill.from.y + place.y};
  fill.to = {fill.to.x + place.x, fill.to.y + place.y};
}

double width_cm(const RoomBrush& brush) { return brush.right_cm - brush.left_cm; }

}  // namespace

void draw_clutter(RoomBrush& brush) {
  const Background& background = brush.scene.background;
  for (int i = 0; i < background.count; ++i) {
    // From the largest to the finest, each by the same factor smaller.
    const double share = static_cast<double>(i) / std::max(1, background.count - 1);
    const double size_cm = background.size_cm * 2.5 * std::pow(finest_share, share);
    std::vector<Point> outline = some_outline(brush.random, size_cm);
    Fill fill = some_fill(brush.random, background, size_cm);
    const double x = brush.random.between(brush.left_cm, brush.right_cm);
    if (brush.random.uniform() < floor_thing_share) {  // flat on the floor: tape, mats, cables, leaves
      move_to(outline, fill, {x, brush.random.between(brush.wall_z_cm(), speckle_near_cm)});
      brush.on_floor({with_short_sides(outline, 10)}, fill);
      continue;
    }
    const double y = brush.random.between(0, brush.top_cm);
    move_to(outline, fill, {x, y});
    for (Point& p : outline) p.y = std::max(0.0, p.y);
    brush.on_wall({with_short_sides(outline, 10)}, fill);
  }
}

void draw_photo(RoomBrush& brush, const Photo& photo) {
  const View& view = brush.painter.view();
  const double px_per_cm = photo.width / brush.scene.background.photo_width_cm;
  const double middle_cm = (brush.left_cm + brush.right_cm) / 2;
  const auto level = static_cast<float>(brush.painter.light_level());
  for (int y = 0; y < view.stored_height(); ++y) {
    const double row_time_s = brush.time_s + view.row_delay_s(y);
    for (int x = 0; x < view.stored_width(); ++x) {
      std::array<float, 3> light{};
      bool on_wall = false;
      for (const Point part : {Point{-0.25, -0.25}, Point{0.25, -0.25}, Point{-0.25, 0.25}, Point{0.25, 0.25}}) {
        const auto spot = view.sight_on_plane({x + part.x, y + part.y}, brush.wall_z_cm(), row_time_s);
        if (!spot || spot->y < 0) continue;
        on_wall = true;
        const Colour colour =
            photo.at((spot->x - middle_cm) * px_per_cm + photo.width / 2.0, photo.height - 1 - spot->y * px_per_cm);
        light[0] += brush.painter.tone().light(colour.r) / 4;
        light[1] += brush.painter.tone().light(colour.g) / 4;
        light[2] += brush.painter.tone().light(colour.b) / 4;
      }
      for (int plane = 0; on_wall && plane < 3; ++plane) {
        brush.into.row(plane, y)[x] = level * light[static_cast<std::size_t>(plane)];
      }
    }
  }
}

namespace {

double shade(Random& random, double contrast) { return std::max(0.1, 1.0 + contrast * random.between(-0.6, 0.6)); }

void draw_floor_tiles(RoomBrush& brush, Random& random) {
  const Background& background = brush.scene.background;
  const double size = background.floor_size_cm;
  const double first_x = std::floor(brush.left_cm / size) * size;
  for (int row = 0; row < steps_over(brush.near_cm() - brush.wall_z_cm(), size); ++row) {
    const double z = brush.wall_z_cm() + row * size;
    for (int i = 0; i < steps_over(brush.right_cm - first_x, size); ++i) {
      const double x = first_x + i * size;
      const std::vector<Point> tile = rectangle({x, z}, {x + size - joint_cm, z + size - joint_cm});
      brush.on_floor({with_short_sides(tile, 10)},
                     plain(scaled(background.floor, shade(random, background.floor_contrast))));
    }
  }
}

// Planks along the wall, each with its tone and a few streaks of grain.
void draw_floor_wood(RoomBrush& brush, Random& random) {
  const Background& background = brush.scene.background;
  const double width = background.floor_size_cm;
  for (int row = 0; row < steps_over(brush.near_cm() - brush.wall_z_cm(), width); ++row) {
    const double z = brush.wall_z_cm() + row * width;
    const double first_x = brush.left_cm - random.between(0, plank_length_cm);
    for (int i = 0; i < steps_over(brush.right_cm - first_x, plank_length_cm); ++i) {
      const double x = first_x + i * plank_length_cm;
      const Colour tone = scaled(background.floor, shade(random, background.floor_contrast));
      const std::vector<Point> plank = rectangle({x, z}, {x + plank_length_cm - 0.15, z + width - 0.15});
      brush.on_floor({with_short_sides(plank, 10)}, plain(tone));
      for (int streak = 0; streak < 7; ++streak) {
        const double from = x + random.between(0, plank_length_cm * 0.8);
        const double to = std::min(x + plank_length_cm - 0.3, from + random.between(6, 40));
        const double at = z + random.between(0.05, 0.9) * width;
        const std::vector<Point> grain = rectangle({from, at}, {to, at + width * random.between(0.01, 0.05)});
        brush.on_floor({with_short_sides(grain, 10)},
                       plain(scaled(tone, shade(random, background.floor_contrast)), 0.7));
      }
    }
  }
}

// A sports floor: flecks of rubber, light and dark.
void draw_floor_speckle(RoomBrush& brush, Random& random) {
  const Background& background = brush.scene.background;
  for (int i = 0; i < speckles; ++i) {
    const Point middle{random.between(brush.left_cm, brush.right_cm),
                       random.between(brush.wall_z_cm(), speckle_near_cm)};
    const Point half{random.between(0.1, 0.5) * background.floor_size_cm / 12,
                     random.between(0.3, 1.2) * background.floor_size_cm / 12};
    std::vector<Point> fleck = circle({0, 0}, 1.0, 7);
    for (Point& p : fleck) p = {middle.x + p.x * half.x, middle.y + p.y * half.y};
    const double tone = 1.0 + background.floor_contrast * (random.uniform() < 0.5 ? -1.2 : 1.5) * random.uniform();
    brush.on_floor({fleck}, plain(scaled(background.floor, std::max(0.1, tone))));
  }
}

}  // namespace

void draw_floor_pattern(RoomBrush& brush) {
  const Background& background = brush.scene.background;
  Random random(mixed_seed(brush.scene.seed, purpose_floor));
  if (background.floor_kind == FloorKind::plain || width_cm(brush) <= 0) return;
  const double near_cm = brush.near_cm();
  brush.on_floor({with_short_sides(rectangle({brush.left_cm, brush.wall_z_cm()}, {brush.right_cm, near_cm}), 20)},
                 plain(scaled(background.floor, background.floor_kind == FloorKind::speckle ? 1.0 : 0.6)));
  if (background.floor_kind == FloorKind::tiles) draw_floor_tiles(brush, random);
  if (background.floor_kind == FloorKind::wood) draw_floor_wood(brush, random);
  if (background.floor_kind == FloorKind::speckle) draw_floor_speckle(brush, random);
}

}  // namespace risetrace::synth
