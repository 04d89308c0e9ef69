#include "synth/bystanders.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "synth/outline.h"

namespace risetrace::synth {
namespace {

constexpr double hand_before_cm = 4.0;     // nearer to the camera than the sticker
constexpr double walker_reach_cm = 120.0;  // from so far on one side of the leg to so far on the other
constexpr double walker_steps_hz = 0.9;
const Colour hand_skin{0.78, 0.58, 0.46};

// A fist with its forearm coming from ahead and above; for a size of 9 cm across, by eye.
const std::vector<Point> fist_cm = {{-4.6, -0.6}, {-4.2, 2.4}, {-1.6, 4.2}, {2.0, 4.6},  {8.0, 10.0}, {36.0, 56.0},
                                    {45.0, 52.0}, {13.0, 4.5}, {5.0, -0.6}, {3.6, -3.6}, {0.0, -4.5}, {-3.2, -3.6}};
const std::vector<std::vector<Point>> knuckles_cm = {{{-4.0, 1.1}, {-0.6, 1.5}, {-0.6, 1.2}, {-4.0, 0.8}},
                                                     {{-4.1, -0.7}, {-0.4, -0.4}, {-0.4, -0.7}, {-4.1, -1.0}},
                                                     {{-3.3, -2.4}, {-0.2, -2.2}, {-0.2, -2.5}, {-3.3, -2.7}}};
constexpr double drawn_size_cm = 9.0;

std::vector<Point> scaled_to(const std::vector<Point>& points, double by) {
  std::vector<Point> out;
  out.reserve(points.size());
  for (const Point& p : points) out.push_back({p.x * by, p.y * by});
  return out;
}

bool inside(const std::vector<Point>& outline, Point p) {
  bool in = false;
  for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
    const Point a = outline[i];
    const Point b = outline[j];
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) in = !in;
  }
  return in;
}

bool is_there(const Hand& hand, int stored_frame) {
  return stored_frame >= hand.from_frame && stored_frame <= hand.to_frame;
}

std::vector<Point> hand_outline_cm(const Hand& hand) {
  return smooth_closed(scaled_to(fist_cm, hand.size_cm / drawn_size_cm), 6);
}

// Trousered legs from the hip down, swinging; `swing` -1 .. 1.
std::vector<Point> walking_leg(double swing) {
  const double stride = 0.45 * swing;
  std::vector<Point> out = {{-9, 92},  {9, 92},   {7, 50},    {5.5, 10}, {15, 3.5},
                            {15, 0.5}, {-6, 0.5}, {-5.5, 10}, {-7, 50}};
  for (Point& p : out) p.x += (92 - p.y) * std::sin(stride);
  return out;
}

bool walks(const Scene& scene, double time_s) {
  return scene.walker && time_s >= scene.walker->from_s && time_s <= scene.walker->to_s;
}

double walker_direction(const Walker& walker) { return walker.to_right ? 1.0 : -1.0; }

double walker_x_cm(const Scene& scene, double time_s) {
  const Walker& walker = *scene.walker;
  const double share = (time_s - walker.from_s) / (walker.to_s - walker.from_s);
  return scene.leg.x_cm + walker_direction(walker) * walker_reach_cm * (2 * share - 1);
}

double walker_swing(const Walker& walker, double time_s) {
  return std::sin(2 * std::numbers::pi * walker_steps_hz * (time_s - walker.from_s));
}

}  // namespace

bool heel_covered(const Scene& scene, const Motion& motion, const View& view, int stored_frame, double time_s) {
  const Spot heel = motion.heel_sticker_cm(time_s);
  const auto px = view.stored_px(heel, time_s);
  if (!px) return false;
  const double forward = scene.leg.facing == Facing::right ? 1.0 : -1.0;
  for (const Hand& hand : scene.hands) {
    const auto at = view.sight_on_plane(*px, hand_before_cm, time_s);
    if (!at || !is_there(hand, stored_frame)) continue;
    const Point from_middle{forward * (at->x - heel.x) - hand.forward_cm, at->y - heel.y - hand.up_cm};
    if (inside(hand_outline_cm(hand), from_middle)) return true;
  }
  if (!walks(scene, time_s) || scene.walker->behind_cm >= 0) return false;
  const auto at = view.sight_on_plane(*px, -scene.walker->behind_cm, time_s);
  for (const double side : {-1.0, 1.0}) {
    const Point from_walker{walker_direction(*scene.walker) * (at->x - walker_x_cm(scene, time_s)), at->y};
    if (inside(smooth_closed(walking_leg(side * walker_swing(*scene.walker, time_s)), 6), from_walker)) return true;
  }
  return false;
}

void draw_hands(const Scene& scene, const Motion& motion, int stored_frame, double time_s, Painter& painter,
                LightPicture& into, RowSpans* touched) {
  const double forward = scene.leg.facing == Facing::right ? 1.0 : -1.0;
  for (const Hand& hand : scene.hands) {
    if (!is_there(hand, stored_frame)) continue;
    const auto placing = [&](Point p, double t) {
      const Spot heel = motion.heel_sticker_cm(t);
      return Spot{heel.x + forward * (hand.forward_cm + p.x), heel.y + hand.up_cm + p.y, hand_before_cm};
    };
    const double by = hand.size_cm / drawn_size_cm;
    const Fill skin{{{0.0, scaled(hand_skin, 0.72)}, {0.6, hand_skin}, {1.0, scaled(hand_skin, 1.1)}},
                    {0.0, -5.0 * by},
                    {0.0, 5.0 * by}};
    painter.draw({hand_outline_cm(hand)}, skin, placing, time_s, into, touched);
    std::vector<std::vector<Point>> creases;
    creases.reserve(knuckles_cm.size());
    for (const auto& crease : knuckles_cm) creases.push_back(smooth_closed(scaled_to(crease, by), 4));
    painter.draw(creases, plain(scaled(hand_skin, 0.6)), placing, time_s, into, touched);
  }
}

void draw_walker(const Scene& scene, double time_s, Painter& painter, LightPicture& into, RowSpans* touched) {
  if (!walks(scene, time_s)) return;
  const Walker& walker = *scene.walker;
  const Colour cloth{0.24, 0.26, 0.30};
  const auto placing = [&](Point p, double t) {
    return Spot{walker_x_cm(scene, t) + walker_direction(walker) * p.x, p.y, -walker.behind_cm};
  };
  for (const double side : {-1.0, 1.0}) {
    const std::vector<Point> outline = smooth_closed(walking_leg(side * walker_swing(walker, time_s)), 6);
    painter.draw({outline}, plain(scaled(cloth, side < 0 ? 0.8 : 1.0)), placing, time_s, into, touched);
  }
}

}  // namespace risetrace::synth
