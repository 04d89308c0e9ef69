#include "synth/painter.h"

#include <algorithm>
#include <cmath>

namespace risetrace::synth {
namespace {

constexpr double display_gamma = 2.2;
constexpr int ramp_steps = 192;  // the nearest is taken: a step is far less than a grey level

Colour colour_at(const Fill& fill, double share) {
  const auto later =
      std::find_if(fill.stops.begin(), fill.stops.end(), [&](const Stop& s) { return s.share >= share; });
  if (later == fill.stops.begin()) return later->colour;
  if (later == fill.stops.end()) return fill.stops.back().colour;
  const Stop& before = *(later - 1);
  return blended(before.colour, later->colour, (share - before.share) / (later->share - before.share));
}

}  // namespace

float Tone::light(double display) const {
  const double value = std::clamp(display, 0.0, 1.0);
  return static_cast<float>(gamma_ ? std::pow(value, display_gamma) : value);
}

float Tone::display(float light) const {
  const float value = std::clamp(light, 0.0F, 1.0F);
  return gamma_ ? std::pow(value, static_cast<float>(1.0 / display_gamma)) : value;
}

Painter::Painter(const Scene& scene, const View& view)
    : view_(view),
      tone_(scene.camera),
      light_level_(scene.light.level),
      filler_(view.stored_width(), view.stored_height()) {}

LinearRgb Painter::light_of(Colour colour) const {
  const auto level = static_cast<float>(light_level_);
  return {level * tone_.light(colour.r), level * tone_.light(colour.g), level * tone_.light(colour.b)};
}

PixelFill Painter::pixel_fill(const Fill& fill, const Placing& placing, double time_s) const {
  PixelFill out;
  out.cover = static_cast<float>(fill.cover);
  const auto from = view_.stored_px(placing(fill.from, time_s), time_s);
  const auto to = view_.stored_px(placing(fill.to, time_s), time_s);
  const double square =
      from && to ? (to->x - from->x) * (to->x - from->x) + (to->y - from->y) * (to->y - from->y) : 0.0;
  if (fill.stops.size() == 1 || square == 0.0) {
    out.ramp = {light_of(fill.stops.front().colour)};
    return out;
  }
  for (int i = 0; i < ramp_steps; ++i) out.ramp.push_back(light_of(colour_at(fill, i / (ramp_steps - 1.0))));
  out.x_step = (to->x - from->x) / square * (ramp_steps - 1);
  out.y_step = (to->y - from->y) / square * (ramp_steps - 1);
  out.at_origin = -(from->x * out.x_step + from->y * out.y_step);
  return out;
}

void Painter::draw(const std::vector<std::vector<Point>>& outlines, const Fill& fill, const Placing& placing,
                   double time_s, LightPicture& into, RowSpans* touched) {
  std::vector<std::vector<Point>> placed;
  for (const auto& outline : outlines) {
    std::vector<Point>& px = placed.emplace_back();
    for (const Point& point : outline) {
      const auto caught = view_.caught([&](double t) { return placing(point, t); }, time_s);
      if (!caught) return;
      px.push_back(caught->stored_px);
    }
  }
  for (const auto& px : placed) filler_.add(px);
  filler_.fill(pixel_fill(fill, placing, time_s), into, touched);
}

}  // namespace risetrace::synth
