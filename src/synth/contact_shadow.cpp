#include "synth/contact_shadow.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "synth/outline.h"

namespace risetrace::synth {
namespace {

// The sole as four pieces along its length, for a shoe of 28 cm; by eye.
constexpr double drawn_length_cm = 28.0;
constexpr std::array<double, 4> pieces_cm{4.5, 11.5, 18.5, 25.0};
constexpr double half_length_cm = 4.6;
constexpr double half_width_cm = 4.2;
constexpr int layers = 6;
constexpr double fades_over_cm = 3.0;  // of height: a quarter of the shadow's light loss is left at about twice this
constexpr double widens = 0.5;         // of the soft edge a cm of height, in its own widths
constexpr double usual_strength = 0.5;

}  // namespace

void draw_contact_shadow(const Scene& scene, const LegModel& leg, const PoseAt& pose_at, double z_cm, double time_s,
                         Painter& painter, LightPicture& into, RowSpans* touched) {
  const double by = scene.leg.shoe_length_cm / drawn_length_cm;
  const Pose pose = pose_at(time_s);
  const double strength = scene.light.shadow_strength.value_or(usual_strength);
  const std::vector<Point> ring = circle({0, 0}, 1.0, 32);
  for (const double along_cm : pieces_cm) {
    const Point under = leg.place_cm(Part::foot, {along_cm * by, 0.0}, pose);
    const double up_cm = std::max(0.0, under.y);
    const double dark = strength / (1.0 + (up_cm / fades_over_cm) * (up_cm / fades_over_cm));
    const double cover = 1.0 - std::pow(1.0 - std::min(dark, 0.99), 1.0 / layers);
    const double soft_cm = scene.light.shadow_softness_cm * (1.0 + widens * up_cm) / 2;
    if (cover < 1e-3) continue;
    for (int layer = 0; layer < layers; ++layer) {
      const double grow = soft_cm * (1.0 - (2.0 * layer + 1.0) / layers);
      const double half_x = std::max(0.3, half_length_cm * by + grow);
      const double half_z = std::max(0.3, half_width_cm * by + grow);
      const auto placing = [&](Point p, double t) {
        const Spot middle = leg.in_scene(leg.place_cm(Part::foot, {along_cm * by, 0.0}, pose_at(t)));
        return Spot{middle.x + p.x * half_x, 0.0, z_cm + p.y * half_z};
      };
      painter.draw({ring}, plain({0.02, 0.02, 0.02}, cover), placing, time_s, into, touched);
    }
  }
}

}  // namespace risetrace::synth
