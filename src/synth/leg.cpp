#include "synth/leg.h"

#include <algorithm>
#include <cmath>

#include "base/geometry.h"
#include "synth/outline.h"

namespace risetrace::synth {
namespace {

// Outlines are drawn for a shoe of this length and scaled to the scene's. Shapes by eye, not from a measured foot.
constexpr double drawn_length_cm = 28.0;
constexpr double drawn_ball_cm = 20.5;
constexpr double drawn_bend_cm = 5.0;
constexpr double drawn_thickness_cm = 2.2;  // of the sole under the ball
constexpr double drawn_underside_cm = 1.2;  // where the shoe bends, nothing above this comes to lie lowest
constexpr double drawn_thigh_cm = 40.0;
constexpr double steepest_rad = 80.0 * rad_per_deg;
constexpr double resting_lean_rad = 3.0 * rad_per_deg;
constexpr double shank_share_of_bend = 0.6;  // the rest of the knee's bend leans the thigh back
constexpr int curve_pieces = 6;
constexpr int sticker_corners = 96;

double scale_of(const Leg& leg) { return leg.shoe_length_cm / drawn_length_cm; }

std::vector<Point> scaled_points(std::vector<Point> points, double by) {
  for (Point& p : points) p = {p.x * by, p.y * by};
  return points;
}

const std::vector<Point> upper_cm = {{0.8, 1.4},   {0.1, 3.6},  {0.3, 6.8},  {0.1, 9.6},  {1.3, 10.3},
                                     {2.8, 9.3},   {5.2, 8.2},  {8.0, 8.6},  {9.6, 10.2}, {10.4, 11.3},
                                     {11.8, 10.9}, {14.0, 8.7}, {17.0, 6.9}, {20.0, 5.7}, {23.5, 4.9},
                                     {26.2, 4.0},  {27.7, 2.6}, {27.4, 1.3}, {20.5, 0.9}, {10.0, 1.0}};
const std::vector<Point> midsole_cm = {{-0.3, 0.9}, {-0.35, 2.4}, {0.3, 3.5},  {4.0, 3.3},  {10.0, 2.7}, {16.0, 2.2},
                                       {21.0, 2.1}, {25.5, 2.5},  {28.1, 3.1}, {28.6, 2.3}, {27.6, 1.0}, {25.0, 0.2},
                                       {20.5, 0.0}, {12.0, 0.25}, {7.0, 0.05}, {2.0, 0.0},  {0.2, 0.2}};
const std::vector<Point> outsole_cm = {{-0.1, 0.7}, {2.5, 0.55}, {12.0, 0.7}, {20.5, 0.5}, {26.0, 0.9},
                                       {28.3, 2.0}, {27.6, 1.0}, {25.0, 0.2}, {20.5, 0.0}, {12.0, 0.25},
                                       {7.0, 0.05}, {2.0, 0.0},  {0.2, 0.2}};
const std::vector<Point> toe_cap_cm = {{22.6, 2.0}, {22.9, 3.6}, {24.2, 4.65}, {26.2, 3.95}, {27.7, 2.6}, {27.3, 2.2}};
const std::vector<Point> eyestay_cm = {{9.4, 8.9},  {11.6, 10.6}, {14.0, 8.6}, {17.2, 6.75},
                                       {18.4, 5.6}, {16.4, 5.4},  {13.2, 6.6}};
const std::vector<Point> bare_foot_cm = {{0.1, 2.6},   {0.0, 4.2},  {0.7, 6.2},  {1.9, 8.2},  {3.0, 9.7},  {6.6, 10.9},
                                         {10.0, 10.0}, {12.6, 8.9}, {16.0, 6.8}, {20.0, 4.9}, {23.5, 3.5}, {26.5, 2.8},
                                         {27.8, 1.7},  {27.4, 0.6}, {26.0, 0.1}, {23.6, 0.4}, {20.5, 0.0}, {16.0, 0.6},
                                         {11.0, 1.2},  {6.5, 0.4},  {3.0, 0.0},  {1.1, 0.6}};
const std::vector<Point> foot_sock_cm = {{2.0, 5.0},   {1.6, 8.5},  {2.5, 11.0}, {6.5, 12.3},
                                         {10.3, 11.6}, {11.4, 9.0}, {8.0, 5.0}};
const std::vector<Point> shank_front_cm = {{2.0, -2.6}, {3.7, 0.5},  {3.5, 5.0},  {3.9, 13.0}, {4.8, 23.0},
                                           {5.2, 31.0}, {5.7, 36.5}, {5.2, 39.5}, {3.2, 42.3}, {0.2, 43.2}};
const std::vector<Point> shank_back_cm = {{-2.8, 42.2}, {-5.0, 39.3}, {-5.4, 36.0}, {-6.9, 29.0}, {-7.1, 23.0},
                                          {-5.4, 15.0}, {-3.9, 8.0},  {-3.7, 3.0},  {-4.2, -0.5}, {-1.5, -2.8}};
const std::vector<Point> thigh_cm = {{5.4, -3.0},  {5.9, 3.0},   {7.4, 13.0},  {8.6, 26.0}, {9.0, 44.0},
                                     {-8.6, 44.0}, {-8.2, 26.0}, {-7.0, 13.0}, {-5.4, 3.0}, {-5.3, -3.5}};
const std::vector<Point> shorts_cm = {{8.4, 12.0},  {9.2, 26.0},  {9.8, 46.0},  {-9.6, 46.0},
                                      {-9.0, 26.0}, {-8.0, 12.0}, {-7.8, 11.0}, {8.3, 11.0}};

// Light falls from the front and above: a rounded limb is brightest ahead of its middle.
Fill limb_fill(Colour colour, double back_cm, double front_cm) {
  return {{{0.0, scaled(colour, 0.68)},
           {0.28, scaled(colour, 0.87)},
           {0.52, scaled(colour, 0.99)},
           {0.70, scaled(colour, 1.03)},
           {0.86, scaled(colour, 0.96)},
           {1.0, scaled(colour, 0.82)}},
          {back_cm, 0.0},
          {front_cm, 0.0}};
}

Fill top_lit_fill(Colour colour, double low_cm, double high_cm) {
  return {{{0.0, scaled(colour, 0.78)}, {0.6, colour}, {1.0, scaled(colour, 1.12)}}, {0.0, low_cm}, {0.0, high_cm}};
}

}  // namespace

double bend_start_cm(const Leg& leg) { return (drawn_ball_cm - drawn_bend_cm) * scale_of(leg); }

double greatest_height_cm(const Scene& scene) {
  const Sticker& heel = scene.stickers.heel;
  const double behind_cm = drawn_ball_cm * scale_of(scene.leg) - heel.forward_cm;
  return std::hypot(behind_cm, heel.up_cm) * std::sin(steepest_rad) - heel.up_cm;
}

LegModel::LegModel(const Scene& scene) : leg_(scene.leg) {
  const double by = scale_of(leg_);
  heel_sticker_cm_ = {scene.stickers.heel.forward_cm, scene.stickers.heel.up_cm};
  forefoot_sticker_cm_ = {scene.stickers.forefoot.forward_cm, scene.stickers.forefoot.up_cm};
  ball_cm_ = drawn_ball_cm * by;
  ankle_cm_ = {6.8 * by, (leg_.barefoot ? 8.6 : 10.0) * by};
  shank_cm_ = 38.0 * by;
  add_leg(scene);
  add_foot(scene);
  find_sole();
  add_decoys();
  add_stickers(scene);
}

// Of what moves as one piece only the corners of its hull can be lowest; the bending piece keeps its underside.
void LegModel::find_sole() {
  std::vector<Point> rear;
  std::vector<Point> toes;
  for (const LegShape& shape : shapes_) {
    if (shape.part != Part::foot) continue;
    for (const Point& corner : shape.outline_cm) {
      if (corner.x <= bend_start_cm(leg_)) {
        rear.push_back(corner);
      } else if (corner.x >= ball_cm_) {
        toes.push_back(corner);
      } else if (corner.y < drawn_underside_cm * scale_of(leg_)) {
        bending_.push_back(corner);
      }
    }
  }
  rear_ = hull(rear);
  toes_ = hull(toes);
}

void LegModel::add_leg(const Scene& scene) {
  const double by = scale_of(leg_);
  std::vector<Point> shank = smooth_open(shank_front_cm, curve_pieces);
  const std::vector<Point> back = smooth_open(shank_back_cm, curve_pieces);
  shank.insert(shank.end(), back.begin(), back.end());
  const auto grown = [&](const std::vector<Point>& points) {
    return scaled_points(smooth_closed(points, curve_pieces), by);
  };
  shapes_.push_back({Part::thigh, grown(thigh_cm), limb_fill(leg_.skin, -6.5 * by, 5.8 * by)});
  shapes_.push_back({Part::shank, scaled_points(shank, by), limb_fill(leg_.skin, -6.5 * by, 5.8 * by)});
  shapes_.push_back({Part::thigh, grown(shorts_cm), limb_fill(scene.leg.shorts, -9.0 * by, 9.0 * by)});
  if (leg_.barefoot) return;
  const std::vector<Point> cuff = {{3.9, -2.0},  {3.95, 3.0}, {3.85, 6.6},  {-0.2, 6.9},
                                   {-4.25, 6.6}, {-4.1, 3.0}, {-4.4, -0.5}, {-1.5, -2.8}};
  shapes_.push_back({Part::shank, grown(cuff), limb_fill(leg_.sock, -4.5 * by, 4.5 * by)});
}

void LegModel::add_foot(const Scene& scene) {
  const double by = scale_of(leg_);
  const auto add = [&](Part part, const std::vector<Point>& points, const Fill& fill) {
    Fill grown = fill;
    grown.from = {fill.from.x * by, fill.from.y * by};
    grown.to = {fill.to.x * by, fill.to.y * by};
    shapes_.push_back({part, scaled_points(smooth_closed(points, curve_pieces), by), grown});
  };
  if (leg_.barefoot) {
    add(Part::foot, bare_foot_cm, top_lit_fill(scaled(leg_.skin, 0.92), -1.0, 14.0));
    add(Part::foot, {{25.2, 2.9}, {26.6, 2.6}, {27.4, 1.9}, {26.6, 1.8}}, plain(scaled(leg_.skin, 1.12), 0.8));
    add(Part::shank, {{-0.2, 1.2}, {0.9, 0.3}, {0.4, -1.2}, {-0.9, -0.9}}, plain(scaled(leg_.skin, 1.08), 0.35));
    return;
  }
  add(Part::heel_part, foot_sock_cm, top_lit_fill(scaled(leg_.sock, 0.85), 4.0, 12.0));
  add(Part::foot, upper_cm, top_lit_fill(leg_.shoe, 0.0, 11.0));
  add(Part::foot, toe_cap_cm, plain(scaled(leg_.shoe, 0.75)));
  add(Part::foot, eyestay_cm, plain(scaled(leg_.shoe, 1.35)));
  for (int i = 0; i < 4; ++i) {
    const double x = 11.6 + 1.75 * i;
    const double y = 9.6 - 1.1 * i;
    add(Part::foot, {{x, y}, {x + 1.5, y + 0.45}, {x + 1.6, y + 0.05}, {x + 0.1, y - 0.4}}, plain(scene.leg.sole));
  }
  add(Part::foot, midsole_cm, top_lit_fill(leg_.sole, -0.5, 3.5));
  add(Part::foot, outsole_cm, plain(scaled(leg_.sock, 0.7)));
}

void LegModel::add_decoys() {
  for (const Decoy& decoy : leg_.decoys) {
    const Part part = decoy.on == DecoyPlace::shoe    ? Part::foot
                      : decoy.on == DecoyPlace::shank ? Part::shank
                                                      : Part::thigh;
    const Point centre{decoy.forward_cm, decoy.up_cm};
    if (decoy.ring_fraction > 0.0)
      shapes_.push_back({part, circle(centre, decoy.radius_cm, sticker_corners), plain(decoy.ring)});
    const double inner_cm = decoy.radius_cm * (1.0 - decoy.ring_fraction);
    shapes_.push_back({part, circle(centre, inner_cm, sticker_corners), plain(decoy.colour)});
  }
}

void LegModel::add_stickers(const Scene& scene) {
  const auto add = [&](Part part, const Sticker& sticker, Point from_cm = {}) {
    if (sticker.absent) return;
    const Colour white{0.94, 0.94, 0.93};
    const Colour black{0.05, 0.05, 0.05};
    const Point centre{from_cm.x + sticker.forward_cm, from_cm.y + sticker.up_cm};
    const bool ringed = sticker.kind == StickerKind::white_black_ring || sticker.kind == StickerKind::black_white_ring;
    Colour inner = sticker.colour;
    if (sticker.kind == StickerKind::white || sticker.kind == StickerKind::white_black_ring) inner = white;
    if (sticker.kind == StickerKind::black || sticker.kind == StickerKind::black_white_ring) inner = black;
    const auto disc = [&](double radius_cm) {
      std::vector<Point> rim = circle(centre, radius_cm, sticker_corners);
      for (Point& p : rim) p.x = centre.x + (p.x - centre.x) * std::cos(sticker.turn_deg * rad_per_deg);
      return rim;
    };
    if (ringed) {
      const Colour ring = sticker.kind == StickerKind::white_black_ring ? black : white;
      shapes_.push_back({part, disc(sticker.radius_cm), plain(ring)});
    }
    const double inner_cm = sticker.radius_cm * (ringed ? 1.0 - sticker.ring_fraction : 1.0);
    shapes_.push_back({part, disc(inner_cm), plain(inner)});
  };
  add(Part::thigh, scene.stickers.hip, hip_point_cm());
  add(Part::thigh, scene.stickers.knee);
  add(Part::shank, scene.stickers.ankle);
  // In a clip of heel raises it bends with the shoe, as it was first drawn.
  add(scene.movement.hops ? Part::forefoot_disc : Part::foot, scene.stickers.forefoot);
  add(Part::heel_part, scene.stickers.heel);
}

double LegModel::foot_turn_rad(double height_cm) const {
  const double behind_cm = ball_cm_ - heel_sticker_cm_.x;
  const double reach_cm = std::hypot(behind_cm, heel_sticker_cm_.y);
  return std::asin((heel_sticker_cm_.y + height_cm) / reach_cm) - std::atan2(heel_sticker_cm_.y, behind_cm);
}

Pose LegModel::raised(double height_cm, double knee_bend_deg) const {
  Pose pose;
  pose.foot_turn_rad = foot_turn_rad(height_cm);
  pose.shank_lean_rad = resting_lean_rad + shank_share_of_bend * knee_bend_deg * rad_per_deg;
  pose.thigh_lean_rad = pose.shank_lean_rad - knee_bend_deg * rad_per_deg;
  return pose;
}

Point LegModel::turned_about_ball(Point point_cm, double angle_rad) const {
  const double x = point_cm.x - ball_cm_;
  const double c = std::cos(angle_rad);
  const double s = std::sin(angle_rad);
  return {ball_cm_ + x * c + point_cm.y * s, -x * s + point_cm.y * c};
}

// A sole that thins brings down what stands on it; its lower edge stays.
Point LegModel::foot_place_cm(Part part, Point point_cm, const Pose& pose) const {
  const double along = std::clamp((ball_cm_ - point_cm.x) / (ball_cm_ - bend_start_cm(leg_)), 0.0, 1.0);
  const double bend = part == Part::heel_part ? 1.0 : along * along * (3.0 - 2.0 * along);
  const double angle_rad = pose.toe_turn_rad + (pose.foot_turn_rad - pose.toe_turn_rad) * bend;
  const double share = std::clamp(point_cm.y / (drawn_thickness_cm * scale_of(leg_)), 0.0, 1.0);
  return turned_about_ball({point_cm.x, point_cm.y - pose.thinner_cm * share}, angle_rad);
}

Point LegModel::place_cm(Part part, Point point_cm, const Pose& pose) const {
  Point at;
  if (part == Part::foot || part == Part::heel_part) {
    at = foot_place_cm(part, point_cm, pose);
  } else if (part == Part::forefoot_disc) {
    at = foot_place_cm(Part::foot, forefoot_sticker_cm_, pose);
    at = {at.x + point_cm.x - forefoot_sticker_cm_.x, at.y + point_cm.y - forefoot_sticker_cm_.y};
  } else {
    at = foot_place_cm(Part::heel_part, ankle_cm_, pose);
    const auto add_leaning = [&](Point along_cm, double lean_rad) {
      at.x += along_cm.x * std::cos(lean_rad) + along_cm.y * std::sin(lean_rad);
      at.y += along_cm.y * std::cos(lean_rad) - along_cm.x * std::sin(lean_rad);
    };
    if (part == Part::thigh) add_leaning({0.0, shank_cm_}, pose.shank_lean_rad);
    add_leaning(point_cm, part == Part::thigh ? pose.thigh_lean_rad : pose.shank_lean_rad);
  }
  return {at.x + pose.ball_cm.x, at.y + pose.ball_cm.y};
}

Spot LegModel::spot_cm(Part part, Point point_cm, const Pose& pose) const {
  return in_scene(place_cm(part, point_cm, pose));
}

Spot LegModel::in_scene(Point place_cm) const {
  return {leg_.x_cm + (leg_.facing == Facing::right ? place_cm.x : -place_cm.x), place_cm.y, 0.0};
}

Spot LegModel::heel_sticker_cm(const Pose& pose) const { return spot_cm(Part::heel_part, heel_sticker_cm_, pose); }

Point LegModel::toe_tip_point_cm() const {
  const Point drawn = leg_.barefoot ? Point{27.8, 1.7} : Point{28.6, 2.3};
  return {drawn.x * scale_of(leg_), drawn.y * scale_of(leg_)};
}

double LegModel::thigh_length_cm() const { return drawn_thigh_cm * scale_of(leg_); }

Point LegModel::lowest_of_shoe_cm(const Pose& pose) const {
  Point lowest{0.0, 1e9};
  const auto take = [&](Point at) { lowest = at.y < lowest.y ? at : lowest; };
  const double thickness = drawn_thickness_cm * scale_of(leg_);
  const auto take_stiff = [&](const std::vector<Point>& corners, double turn_rad) {
    const double c = std::cos(turn_rad);
    const double s = std::sin(turn_rad);
    for (const Point& corner : corners) {
      const double x = corner.x - ball_cm_;
      const double y = corner.y - pose.thinner_cm * std::clamp(corner.y / thickness, 0.0, 1.0);
      take({ball_cm_ + x * c + y * s, -x * s + y * c});
    }
  };
  take_stiff(rear_, pose.foot_turn_rad);
  take_stiff(toes_, pose.toe_turn_rad);
  for (const Point& corner : bending_) take(foot_place_cm(Part::foot, corner, pose));
  return {lowest.x + pose.ball_cm.x, lowest.y + pose.ball_cm.y};
}

}  // namespace risetrace::synth
