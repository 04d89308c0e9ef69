#include "report/rung_drawing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "report/figure.h"
#include "report/palette.h"

namespace risetrace::report {
namespace {

enum class Ways { none, on_the_spot, travelling, slower };

struct Step {
  double from_cm = 0;
  double to_cm = 0;
  double height_cm = 0;
};

// One rung: where the body is at the start and at the end, and what stands about.
struct Scene {
  const char* key;
  Pose start;
  Pose end;
  std::optional<double> wall_cm;
  std::optional<Step> step;
  Ways ways = Ways::none;
  bool plumb = false;  // where the weight falls
};

constexpr double far_cm = 6;  // the far leg stands so much forward in the picture, to be seen

Foot at(double x_cm, double y_cm, double heel_up_deg, bool works = true) { return {{x_cm, y_cm}, heel_up_deg, works}; }

// Both feet under the hip, hand on the wall.
Pose on_two(double floor_cm, double heel_up_deg, Point hip) {
  return {hip, 0, at(0, floor_cm, heel_up_deg), at(far_cm, floor_cm, heel_up_deg), {33, hip.y + 38}, {34, hip.y + 41}};
}

// The other foot is held up behind.
Pose on_one(double floor_cm, double heel_up_deg, Point hip) {
  Pose pose = on_two(floor_cm, heel_up_deg, hip);
  pose.far = at(hip.x - 14, hip.y - 62, 55, false);
  return pose;
}

Pose loaded(Pose pose) {
  pose.near_hand = {pose.hip.x + 6, pose.hip.y - 7};
  pose.weight = true;
  return pose;
}

// Hands beside the body, as in hopping.
Pose hopping(Pose pose) {
  pose.near_hand = {pose.hip.x + 20, pose.hip.y + 14};
  pose.far_hand = {pose.hip.x + 24, pose.hip.y + 16};
  return pose;
}

Pose split(Point hip, double heel_up_deg) {
  Pose pose{hip, 2, at(-22, 0, heel_up_deg), at(40, 14, 0, false), {64, hip.y + 44}, {64, hip.y + 47}};
  return pose;
}

const Pose hop_two_down = hopping(on_two(0, 14, {-10, 94.8}));
const Pose hop_two_up = hopping(on_two(13, 48, {-4, 112.4}));
const Pose hop_one_down = hopping(on_one(0, 14, {-10, 94.8}));
const Pose hop_one_up = hopping(on_one(13, 48, {-4, 112.4}));
constexpr Step edge{-5, 36, 18};

const std::array<Scene, 12>& scenes() {
  static const std::array<Scene, 12> all = {{
      {"two-leg-slow", on_two(0, 0, {-11, 93}), on_two(0, 52, {-3, 100}), 36, {}},
      {"split-stance", split({4, 83}, 0), split({6, 92}, 50), 66, Step{24, 66, 14}, Ways::none, true},
      {"split-back-foot", split({-20, 91}, 0), split({-15, 99}, 50), 66, Step{24, 66, 14}, Ways::none, true},
      {"step-two-leg", on_two(18, -22, {-12, 105}), on_two(18, 52, {-3, 118}), 36, edge},
      {"step-one-leg", on_one(18, -22, {-12, 105}), on_one(18, 52, {-3, 118}), 36, edge},
      {"step-one-leg-loaded", loaded(on_one(18, -22, {-12, 105})), loaded(on_one(18, 52, {-3, 118})), 36, edge},
      {"both-spot", hop_two_down, hop_two_up, {}, {}, Ways::on_the_spot},
      {"both-travel", hop_two_down, hop_two_up, {}, {}, Ways::travelling},
      {"both-slower", hop_two_down, hop_two_up, {}, {}, Ways::slower},
      {"one-spot", hop_one_down, hop_one_up, {}, {}, Ways::on_the_spot},
      {"one-travel", hop_one_down, hop_one_up, {}, {}, Ways::travelling},
      {"one-slower", hop_one_down, hop_one_up, {}, {}, Ways::slower},
  }};
  return all;
}

void draw_arrow(const Ink& ink, double x0, double y0, double x1, double y1, const Colour& colour) {
  const double length = std::hypot(x1 - x0, y1 - y0);
  if (length < 1e-6) return;
  const double ux = (x1 - x0) / length;
  const double uy = (y1 - y0) / length;
  const double tip = std::min(4.5, length * 0.5);
  ink.line(x0, y0, x1 - ux * tip * 0.7, y1 - uy * tip * 0.7, 1.2, colour);
  cairo_t* cr = ink.context();
  ink.use(colour);
  cairo_move_to(cr, x1, y1);
  cairo_line_to(cr, x1 - ux * tip - uy * tip * 0.55, y1 - uy * tip + ux * tip * 0.55);
  cairo_line_to(cr, x1 - ux * tip + uy * tip * 0.55, y1 - uy * tip - ux * tip * 0.55);
  cairo_close_path(cr);
  cairo_fill(cr);
}

// Wall, step and floor of one figure.
void draw_place(const Ink& ink, const Stage& stage, const Scene& scene) {
  if (scene.step) {
    const Step& step = *scene.step;
    const double x = stage.px(step.from_cm);
    const double width = stage.scale * (step.to_cm - step.from_cm);
    const double height = stage.scale * step.height_cm;
    ink.fill_box(x, stage.floor_y - height, width, height, palette::shade);
    ink.frame_box(x, stage.floor_y - height, width, height, 0.8, palette::limit);
  }
  if (!scene.wall_cm) return;
  const double x = stage.px(*scene.wall_cm);
  ink.line(x, stage.py(195), x, stage.floor_y, 1.6, palette::limit);
}

// A heel that has gone up, or both feet off the ground: an arrow there and back.
void draw_movement(const Ink& ink, const Stage& stage, const Scene& scene) {
  const bool hops = scene.ways != Ways::none;
  const double x = stage.px(scene.end.near.ball.x - (hops ? 27 : 28));
  const double low = stage.py(hops ? 1 : scene.end.near.ball.y + (scene.step && !scene.plumb ? -12 : 0));
  const double high = stage.py(hops ? 34 : scene.end.near.ball.y + 24);
  draw_arrow(ink, x, low, x, high, palette::low);
  draw_arrow(ink, x - 7, high, x - 7, low, palette::low);
}

void draw_plumb(const Ink& ink, const Stage& stage, const Pose& pose) {
  const double x = stage.px(pose.hip.x);
  ink.dash(1.5, 1.5);
  ink.line(x, stage.py(pose.hip.y - 8), x, stage.py(6), 0.9, palette::low);
  ink.dash(0, 0);
  ink.fill_tip_down(x, stage.floor_y, 5, palette::low);
}

// Seen from above: forwards and back, to the sides, along the diagonals, about a square.
void draw_ways(const Ink& ink, double x, double y, double size) {
  const double half = size / 2;
  ink.dash(2, 1.6);
  ink.frame_box(x - half, y - half, size, size, 0.8, palette::limit);
  ink.dash(0, 0);
  for (int i = 0; i < 8; ++i) {
    const double angle = i * std::numbers::pi / 4;
    const double reach = (i % 2 == 0 ? 0.86 : 1.1) * half;
    draw_arrow(ink, x + 5 * std::cos(angle), y + 5 * std::sin(angle), x + reach * std::cos(angle),
               y + reach * std::sin(angle), palette::low);
  }
  ink.fill_disc(x, y, 3, palette::trace);
}

// Beats as dots in time: the slower the wider apart.
void draw_beats(const Ink& ink, double x, double y, double width, int beats) {
  ink.line(x - width / 2, y, x + width / 2, y, 0.8, palette::limit);
  for (int i = 0; i < beats; ++i) {
    ink.fill_disc(x - width / 2 + width * (i + 0.5) / beats, y, 2.6, palette::low);
  }
}

const Scene* scene_of(const std::string& key) {
  const auto& all = scenes();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Scene& scene) { return key == scene.key; });
  return found == all.end() ? nullptr : found;
}

}  // namespace

bool has_rung_drawing(const std::string& key) { return scene_of(key) != nullptr; }

void draw_rung(const Ink& ink, const Area& area, const std::string& key) {
  const Scene* scene = scene_of(key);
  if (scene == nullptr) return;
  constexpr double tallest_cm = 203;
  constexpr double widest_cm = 122;  // of one figure with its place
  const bool aside = scene->ways == Ways::travelling || scene->ways == Ways::slower;
  const double parts = aside ? 3 : 2;
  const double scale = std::min((area.height - 4) / tallest_cm, area.width / (parts * widest_cm));
  const double pitch = area.width / parts;
  const double floor_y = area.y + area.height - 3;
  ink.line(area.x, floor_y, area.x + area.width, floor_y, 1.2, palette::limit);
  const double middle_cm = scene->plumb ? 18 : 0;  // of the figure's place
  const Stage first{area.x + pitch * 0.5 - middle_cm * scale, floor_y, scale};
  const Stage second{area.x + pitch * 1.5 - middle_cm * scale, floor_y, scale};
  for (const auto& [stage, pose] : {std::pair{first, &scene->start}, {second, &scene->end}}) {
    draw_place(ink, stage, *scene);
    draw_figure(ink, stage, *pose);
    if (scene->plumb) draw_plumb(ink, stage, *pose);
  }
  draw_movement(ink, second, *scene);
  const double x = area.x + pitch * 2.5;
  if (scene->ways == Ways::travelling) draw_ways(ink, x, area.y + area.height * 0.45, std::min(pitch * 0.7, 46.0));
  if (scene->ways == Ways::slower) {
    draw_beats(ink, x, area.y + area.height * 0.35, pitch * 0.8, 6);
    draw_arrow(ink, x, area.y + area.height * 0.42, x, area.y + area.height * 0.55, palette::low);
    draw_beats(ink, x, area.y + area.height * 0.62, pitch * 0.8, 4);
  }
}

}  // namespace risetrace::report
