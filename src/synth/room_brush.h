// Draws on the wall (a point is x and y of the scene) or the floor (a point is x and z).
#pragma once

#include <cmath>
#include <vector>

#include "synth/painter.h"
#include "synth/random.h"

namespace risetrace::synth {

struct RoomBrush {
  const Scene& scene;
  double time_s;
  Painter& painter;
  LightPicture& into;
  Random random;
  double left_cm = 0.0;  // of what the wall's pattern must cover
  double right_cm = 0.0;
  double top_cm = 0.0;

  [[nodiscard]] double wall_z_cm() const { return -scene.background.wall_behind_cm; }
  // Where the floor ends before the camera.
  [[nodiscard]] double near_cm() const { return scene.camera.distance_m * 100 - 20; }
  void on_wall(const std::vector<std::vector<Point>>& outlines, const Fill& fill) {
    const double z = wall_z_cm();
    painter.draw(
        outlines, fill,
        [z](Point p, double) {
          return Spot{p.x, p.y, z};
        },
        time_s, into, nullptr);
  }
  void on_floor(const std::vector<std::vector<Point>>& outlines, const Fill& fill) {
    painter.draw(
        outlines, fill,
        [](Point p, double) {
          return Spot{p.x, 0.0, p.y};
        },
        time_s, into, nullptr);
  }
};

// How many whole steps it takes to cover a length.
inline int steps_over(double length, double step) { return std::max(0, static_cast<int>(std::ceil(length / step))); }

}  // namespace risetrace::synth
