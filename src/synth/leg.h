// The leg as flat outlines in the sagittal plane, and how they move.
//
// The foot turns about the ball; ahead of the ball the shoe has a turn of its own and in between it bends. In a heel
// raise the ball stays on the floor, the toes stay down, and the shank keeps its lean, so that it goes up and forward
// with the ankle.
#pragma once

#include <vector>

#include "synth/paint.h"
#include "synth/pose.h"
#include "synth/scene.h"
#include "synth/view.h"

namespace risetrace::synth {

// What an outline's points are measured in.
//   foot        forwards from the back of the heel, up from the floor, standing; bends at the ball
//   heel_part   the same, and turns as one piece with the heel
//   forefoot_disc  the same as foot, but stiff about the forefoot sticker's middle, as a sticker is
//   shank       forwards and up from the ankle
//   thigh       forwards and up from the knee
enum class Part { foot, heel_part, forefoot_disc, shank, thigh };

struct LegShape {
  Part part = Part::foot;
  std::vector<Point> outline_cm;
  Fill fill;  // its gradient points are in the same frame as the outline
};

class LegModel {
 public:
  explicit LegModel(const Scene& scene);

  // From the farthest to the nearest; stickers last, decoys just before them.
  [[nodiscard]] const std::vector<LegShape>& shapes() const { return shapes_; }
  // Standing, with the heel raised so that its sticker is `height_cm` above its standing place.
  [[nodiscard]] Pose raised(double height_cm) const { return raised(height_cm, leg_.knee_bend_deg); }
  // The same with the knee bent by `knee_bend_deg`.
  [[nodiscard]] Pose raised(double height_cm, double knee_bend_deg) const;
  [[nodiscard]] Spot spot_cm(Part part, Point point_cm, const Pose& pose) const;
  [[nodiscard]] Spot heel_sticker_cm(const Pose& pose) const;
  // The same forwards and up from the back of the heel's standing place.
  [[nodiscard]] Point place_cm(Part part, Point point_cm, const Pose& pose) const;
  // Of the outlines' corners, which are what is drawn; in the same frame.
  [[nodiscard]] Point lowest_of_shoe_cm(const Pose& pose) const;
  // From that frame to the scene.
  [[nodiscard]] Spot in_scene(Point place_cm) const;

  // In the frame of Part::foot, standing.
  [[nodiscard]] Point heel_sticker_point_cm() const { return heel_sticker_cm_; }
  [[nodiscard]] Point forefoot_sticker_point_cm() const { return forefoot_sticker_cm_; }
  [[nodiscard]] Point toe_tip_point_cm() const;
  [[nodiscard]] Point ankle_point_cm() const { return ankle_cm_; }
  [[nodiscard]] double ball_point_cm() const { return ball_cm_; }
  [[nodiscard]] double shank_length_cm() const { return shank_cm_; }
  [[nodiscard]] double thigh_length_cm() const;
  [[nodiscard]] Point hip_point_cm() const { return {0.0, thigh_length_cm()}; }  // of Part::thigh

 private:
  // How far the foot has turned from standing.
  [[nodiscard]] double foot_turn_rad(double height_cm) const;
  void find_sole();
  void add_foot(const Scene& scene);
  void add_leg(const Scene& scene);
  void add_decoys();
  void add_stickers(const Scene& scene);
  [[nodiscard]] Point turned_about_ball(Point point_cm, double angle_rad) const;
  [[nodiscard]] Point foot_place_cm(Part part, Point point_cm, const Pose& pose) const;

  Leg leg_;
  Point heel_sticker_cm_;
  Point forefoot_sticker_cm_;
  double ball_cm_ = 0.0;
  Point ankle_cm_;
  double shank_cm_ = 0.0;
  std::vector<LegShape> shapes_;
  // Corners of the foot's outlines that may come to lie lowest: of the stiff rear, where it bends, of the toes.
  std::vector<Point> rear_;
  std::vector<Point> bending_;
  std::vector<Point> toes_;
};

// What the foot's geometry allows; the foot would stand upright on its toes.
double greatest_height_cm(const Scene& scene);
// From the back of the heel: where the stiff rear of the shoe ends.
double bend_start_cm(const Leg& leg);

}  // namespace risetrace::synth
