// A drawn person seen from the side, facing right: plain limbs, joints found from where hip, feet and hands are.
#pragma once

#include "base/geometry.h"
#include "report/text.h"

namespace risetrace::report {

// Of a figure, in cm: x forward, y up from the floor.
struct Foot {
  Point ball;              // where the forefoot bends
  double heel_up_deg = 0;  // below 0: the heel is under it
  bool works = true;       // drawn dark; a leg that rests is drawn grey
};

struct Pose {
  Point hip;
  double lean_deg = 0;  // of the trunk, forwards
  Foot near;
  Foot far;
  Point near_hand;
  Point far_hand;
  bool weight = false;  // in the near hand
};

// The origin's place on the page and pt to the cm.
struct Stage {
  double x = 0.0;
  double floor_y = 0.0;
  double scale = 1.0;

  [[nodiscard]] double px(double x_cm) const { return x + scale * x_cm; }
  [[nodiscard]] double py(double y_cm) const { return floor_y - scale * y_cm; }
};

Point ankle_of(const Foot& foot);
// The bend of two limbs of these lengths between two ends, on the side to which `forward` points (+1: to the right of
// the way from a to b). Ends too far apart: on the line between them.
Point bend_between(const Point& a, const Point& b, double first_cm, double second_cm, double forward);

void draw_figure(const Ink& ink, const Stage& stage, const Pose& pose);

}  // namespace risetrace::report
