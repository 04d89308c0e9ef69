#include "report/figure.h"

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "report/palette.h"

namespace risetrace::report {
namespace {

// A plain grown person, in cm. Only for looks.
constexpr double thigh = 43;
constexpr double shank = 42;
constexpr double trunk = 48;
constexpr double upper_arm = 29;
constexpr double forearm = 27;
constexpr double head = 11;
constexpr Point ankle_from_ball{-13, 8};
constexpr Point heel_from_ball{-18, 0.5};
constexpr double toe_cm = 7;

Point turned(const Point& point, double clockwise_deg) {
  const double a = -clockwise_deg * std::numbers::pi / 180;
  return {point.x * std::cos(a) - point.y * std::sin(a), point.x * std::sin(a) + point.y * std::cos(a)};
}

Point sum(const Point& a, const Point& b) { return {a.x + b.x, a.y + b.y}; }

// A line through the points with round ends, on a rim of paper that parts it from what is behind.
void draw_limb(const Ink& ink, const Stage& stage, const std::vector<Point>& points, double thick_cm,
               const Colour& colour) {
  cairo_t* cr = ink.context();
  cairo_save(cr);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  for (const bool rim : {true, false}) {
    ink.use(rim ? palette::paper : colour);
    cairo_set_line_width(cr, stage.scale * thick_cm + (rim ? 1.6 : 0.0));
    cairo_new_path(cr);
    for (const Point& point : points) cairo_line_to(cr, stage.px(point.x), stage.py(point.y));
    cairo_stroke(cr);
  }
  cairo_restore(cr);
}

void draw_leg(const Ink& ink, const Stage& stage, const Point& hip, const Foot& foot) {
  const Colour colour = foot.works ? palette::trace : palette::idle_limb;
  const Point ankle = ankle_of(foot);
  const Point knee = bend_between(hip, ankle, thigh, shank, -1);
  const Point heel = sum(foot.ball, turned(heel_from_ball, foot.heel_up_deg));
  const Point sole_up{0, 2};
  draw_limb(ink, stage, {hip, knee, ankle}, 8.5, colour);
  draw_limb(
      ink, stage,
      {ankle, sum(heel, turned({1.5, 3}, foot.heel_up_deg)), sum(foot.ball, sole_up), sum(foot.ball, {toe_cm, 2})}, 4.5,
      colour);
}

void draw_arm(const Ink& ink, const Stage& stage, const Point& shoulder, const Point& hand, const Colour& colour) {
  draw_limb(ink, stage, {shoulder, bend_between(shoulder, hand, upper_arm, forearm, 1), hand}, 5, colour);
}

void draw_weight(const Ink& ink, const Stage& stage, const Point& hand) {
  const double x = stage.px(hand.x);
  const double y = stage.py(hand.y);
  const double s = stage.scale;
  ink.fill_box(x - 11 * s, y - 2 * s, 22 * s, 4 * s, palette::low);
  ink.fill_box(x - 14 * s, y - 7.5 * s, 6.5 * s, 15 * s, palette::low);
  ink.fill_box(x + 7.5 * s, y - 7.5 * s, 6.5 * s, 15 * s, palette::low);
}

}  // namespace

Point ankle_of(const Foot& foot) { return sum(foot.ball, turned(ankle_from_ball, foot.heel_up_deg)); }

Point bend_between(const Point& a, const Point& b, double first_cm, double second_cm, double forward) {
  const double dx = b.x - a.x;
  const double dy = b.y - a.y;
  const double apart = std::max(std::hypot(dx, dy), 1e-6);
  // Where the two circles meet: along the line, and off it.
  const double along = std::min((apart * apart + first_cm * first_cm - second_cm * second_cm) / (2 * apart), first_cm);
  const double off = std::sqrt(std::max(first_cm * first_cm - along * along, 0.0));
  const double share = apart >= first_cm + second_cm ? first_cm / (first_cm + second_cm) * apart : along;
  const double side = apart >= first_cm + second_cm ? 0.0 : forward * off;
  return {a.x + share * dx / apart + side * dy / apart, a.y + share * dy / apart - side * dx / apart};
}

void draw_figure(const Ink& ink, const Stage& stage, const Pose& pose) {
  const Point up = turned({0, trunk}, pose.lean_deg);
  const Point shoulder = sum(pose.hip, up);
  const Point neck = sum(shoulder, turned({2, 17}, pose.lean_deg));
  draw_arm(ink, stage, shoulder, pose.far_hand, palette::idle_limb);
  draw_leg(ink, stage, sum(pose.hip, {2, 0}), pose.far);
  draw_limb(ink, stage, {shoulder, pose.hip}, 13, palette::ink);
  draw_leg(ink, stage, pose.hip, pose.near);
  ink.fill_disc(stage.px(neck.x), stage.py(neck.y), stage.scale * head, palette::ink);
  draw_arm(ink, stage, shoulder, pose.near_hand, palette::soft_ink);
  if (pose.weight) draw_weight(ink, stage, pose.near_hand);
}

}  // namespace risetrace::report
