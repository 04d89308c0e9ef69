#include "synth/contact_shadow.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "synth/outline.h"

namespace risetrace::synth {
namespace {

// The sole as seven pieces along its length, for a shoe of 28 cm; by eye.
constexpr double drawn_length_cm = 28.0;
constexpr std::array<double, 7> pieces_cm{2.2, 6.2, 10.2, 14.2, 18.2, 22.2, 26.2};
constexpr std::array<double, 7> half_widths_cm{3.1, 3.4, 3.2, 3.2, 3.8, 4.2, 3.7};
constexpr double half_length_cm = 2.0;
constexpr int layers = 6;
constexpr double fades_over_cm = 3.0;  // of height: a quarter of the shadow's light loss is left at about twice this
constexpr double widens = 0.5;         // of the soft edge a cm of height, in its own widths
constexpr double usual_strength = 0.5;

// Nearly a rectangle, so that neighbours neither overlap nor leave a gap: x^4 + y^4 = 1.
std::vector<Point> rounded_square() {
  std::vector<Point> ring = circle({0, 0}, 1.0, 32);
  for (Point& p : ring) {
    const double grow = std::pow(p.x * p.x * p.x * p.x + p.y * p.y * p.y * p.y, -0.25);
    p = {p.x * grow, p.y * grow};
  }
  return ring;
}

}  // namespace

void draw_contact_shadow(const Scene& scene, const LegModel& leg, const PoseAt& pose_at, double z_cm, double time_s,
                         Painter& painter, LightPicture& into, RowSpans* touched) {
  const double by = scene.leg.shoe_length_cm / drawn_length_cm;
  const Pose pose = pose_at(time_s);
  const double strength = scene.light.shadow_strength.value_or(usual_strength);
  const std::vector<Point> ring = rounded_square();
  for (std::size_t i = 0; i < pieces_cm.size(); ++i) {
    const double along_cm = pieces_cm[i];
    const Point under = leg.place_cm(Part::foot, {along_cm * by, 0.0}, pose);
    const double up_cm = std::max(0.0, under.y);
    const double dark = strength / (1.0 + (up_cm / fades_over_cm) * (up_cm / fades_over_cm));
    const double cover = 1.0 - std::pow(1.0 - std::min(dark, 0.99), 1.0 / layers);
    const double soft_cm = scene.light.shadow_softness_cm * (1.0 + widens * up_cm) / 2;
    if (cover < 1e-3) continue;
    for (int layer = 0; layer < layers; ++layer) {
      const double grow = soft_cm * (1.0 - (2.0 * layer + 1.0) / layers);
      const double half_x = half_length_cm * by + grow;
      const double half_z = half_widths_cm[i] * by + grow;
      if (half_x <= 0 || half_z <= 0) continue;
      const auto placing = [&](Point p, double t) {
        const Spot middle = leg.in_scene(leg.place_cm(Part::foot, {along_cm * by, 0.0}, pose_at(t)));
        return Spot{middle.x + p.x * half_x, 0.0, z_cm + p.y * half_z};
      };
      painter.draw({ring}, plain({0.02, 0.02, 0.02}, cover), placing, time_s, into, touched);
    }
  }
}

}  // namespace risetrace::synth
