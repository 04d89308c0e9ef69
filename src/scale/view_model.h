// A pinhole camera before the sticker's plane with the card beside it: where a point of the card is in the picture.
//
// Frames of reference: the sticker's plane has x right, y up, z towards the camera, origin the card's middle; the
// camera has x right, y down, z into the picture.
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "base/geometry.h"
#include "math/homography.h"
#include "scale/scale_of_plane.h"

namespace risetrace::scale {

// What is not known of a view, in centimetres and radians.
struct View {
  // The sticker's plane as the camera sees it.
  double yaw = 0.0;
  double pitch = 0.0;
  double roll = 0.0;
  Point middle_px;  // of the card, as it would be without distortion
  double log_depth = 0.0;
  double log_focal = 0.0;  // of pixels
  // The card against that plane.
  double turn = 0.0;
  double lean = 0.0;
  double card_roll = 0.0;
  double offset_cm = 0.0;  // behind it
  double print = 0.0;      // printed larger by this share
  double stretch = 0.0;    // and by this share more along its upright edge
  double edge_cm = 0.0;    // how far a quad's edges seem to lie outwards
  double k1 = 0.0;         // radial distortion r (1 + k1 r^2), r in focal lengths

  static constexpr Eigen::Index unknowns = 14;  // all but k1

  // All but k1 as one vector, in the order above, and back.
  [[nodiscard]] Eigen::VectorXd as_vector() const;
  static View from_vector(const Eigen::VectorXd& x);
};

// Where the card's corners are in the picture, in their order. `picture_centre`: where the line of sight and the
// distortion have theirs.
std::vector<Point> to_picture(const View& view, Point picture_centre, const std::vector<CornerSeen>& corners);

// The sticker's plane, as it would be seen without distortion.
math::Homography straight_px_from_cm(const View& view, Point picture_centre);

// Camera to the sticker's plane along the line of sight, at the card.
double plane_depth_cm(const View& view, Point picture_centre);

// Between the card's normal and the camera's optical axis.
double card_tilt_deg(const View& view);

}  // namespace risetrace::scale
