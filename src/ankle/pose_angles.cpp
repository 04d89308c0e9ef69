#include "ankle/pose_angles.h"

#include <array>
#include <cmath>

#include "base/geometry.h"

namespace risetrace::ankle {
namespace {

// In the plane, x right, y up. Without a hip its place is the knee's.
using Places = std::array<Point, 3>;  // ankle, knee, hip
enum Joint : std::size_t { ankle_joint, knee_joint, hip_joint };

double lean_deg(Point low, Point high, double forward) {
  return std::atan2(forward * (high.x - low.x), high.y - low.y) * deg_per_rad;
}

template <typename Map>
Places mapped(const Map& map, const LegPlaces& places) {
  return {map(places.ankle_px), map(places.knee_px), map(places.hip_px.value_or(places.knee_px))};
}

double shank_of(const Places& p, double forward) { return lean_deg(p[ankle_joint], p[knee_joint], forward); }

double knee_of(const Places& p, double forward) {
  return shank_of(p, forward) - lean_deg(p[knee_joint], p[hip_joint], forward);
}

double between(Point a, Point b) { return std::hypot(b.x - a.x, b.y - a.y); }

}  // namespace

double shank_deg(const PlaneMap& map, const LegPlaces& places, double forward) {
  return shank_of(mapped([&](Point px) { return map.map(px); }, places), forward);
}

double knee_deg(const PlaneMap& map, const LegPlaces& places, double forward) {
  return knee_of(mapped([&](Point px) { return map.map(px); }, places), forward);
}

math::Effects pose_effects(PoseAngle angle, const PlaneMap& map, const LegPlaces& places, double forward,
                           const model::AngleRules& rules) {
  const bool of_knee = angle == &knee_deg;
  const auto told = [&](const Places& p) { return of_knee ? knee_of(p, forward) : shank_of(p, forward); };
  const Places base = mapped([&](Point px) { return map.map(px); }, places);
  const double base_deg = told(base);
  math::Effects effects;
  for (std::size_t d = 0; d < map.doubts(); ++d) {
    effects.push_back(told(mapped([&](Point px) { return map.map_doubted(d, px); }, places)) - base_deg);
  }
  const double shank = between(base[ankle_joint], base[knee_joint]);
  const double unit_per_cm = map.in_cm() ? 1.0 : shank / rules.usual_shank_cm;
  for (std::size_t joint = 0; joint < base.size(); ++joint) {
    const Point low = base.at(joint == hip_joint ? knee_joint : ankle_joint);
    const Point high = base.at(joint == hip_joint ? hip_joint : knee_joint);
    const double length = between(low, high);
    const double by = length > 0 ? rules.landmark_u_cm * unit_per_cm / length : 0;
    const Point along{by * (high.x - low.x), by * (high.y - low.y)};
    for (const Point shift : {along, Point{-along.y, along.x}}) {
      Places off = base;
      off.at(joint) = {off.at(joint).x + shift.x, off.at(joint).y + shift.y};
      effects.push_back(told(off) - base_deg);
    }
  }
  const double nearer = rules.leg_depth_u_cm * unit_per_cm / map.distance();
  for (std::size_t joint = 0; joint < base.size(); ++joint) {
    Places off = base;
    Point& p = off.at(joint);
    p = {p.x + nearer * (p.x - map.axis().x), p.y + nearer * (p.y - map.axis().y)};
    effects.push_back(told(off) - base_deg);
  }
  return effects;
}

}  // namespace risetrace::ankle
