// The leg as flat outlines in the sagittal plane, and how they move.
//
// The foot turns about the ball, which stays on the floor; ahead of the ball the shoe stays down and in between it
// bends. The shank stands on the ankle and keeps its lean, so that it goes up and forward with the ankle.
#pragma once

#include <vector>

#include "synth/movement.h"
#include "synth/paint.h"
#include "synth/scene.h"
#include "synth/view.h"

namespace risetrace::synth {

// What an outline's points are measured in.
//   foot        forwards from the back of the heel, up from the floor, standing; bends at the ball
//   heel_part   the same, and turns as one piece with the heel
//   shank       forwards and up from the ankle
//   thigh       forwards and up from the knee
enum class Part { foot, heel_part, shank, thigh };

struct LegShape {
  Part part = Part::foot;
  std::vector<Point> outline_cm;
  Fill fill;  // its gradient points are in the same frame as the outline
};

class LegModel {
 public:
  explicit LegModel(const Scene& scene);

  // From the farthest to the nearest; stickers last.
  [[nodiscard]] const std::vector<LegShape>& shapes() const { return shapes_; }
  // Where a point of a part is while the heel sticker is `height_cm` above its standing place.
  [[nodiscard]] Spot spot_cm(Part part, Point point_cm, double height_cm) const;
  [[nodiscard]] Spot heel_sticker_cm(double height_cm) const;
  // How far the foot has turned from standing.
  [[nodiscard]] double foot_turn_rad(double height_cm) const;

 private:
  void add_foot(const Scene& scene);
  void add_leg(const Scene& scene);
  void add_stickers(const Scene& scene);
  [[nodiscard]] Point turned_about_ball(Point point_cm, double angle_rad) const;

  Leg leg_;
  Point heel_sticker_cm_;
  double ball_cm_ = 0.0;
  Point ankle_cm_;
  double shank_cm_ = 0.0;
  double lean_rad_ = 0.0;
  double thigh_lean_rad_ = 0.0;
  std::vector<LegShape> shapes_;
};

// What the foot's geometry allows; the foot would stand upright on its toes.
double greatest_height_cm(const Scene& scene);
// From the back of the heel: where the stiff rear of the shoe ends.
double bend_start_cm(const Leg& leg);

}  // namespace risetrace::synth
