// The sticker's picture as a formula, with its derivatives: what fit_sticker fits.
//
// Grey at a pixel = base + uneven (1 - D(R)) + ring_step D(R) + disc_step D(q R), where r is the distance from the
// centre after the ellipse is undone, R the outer radius, q the inner share, D(a) = (1 + erf((a - r) / soft)) / 2 a
// disc seen through a Gaussian lens, and `uneven` how the ground that the sticker hides differs all round it: an even
// slope and harmonics of the direction from the centre. While the shutter is open the sticker goes along `motion`:
// every D is its mean over that way.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "base/geometry.h"
#include "sticker/look.h"

namespace risetrace::sticker {

// Parameters in this order. Where the way and the uneven ground are left out, only the first `few_parameters` count.
enum Parameter {
  centre_x,
  centre_y,
  log_radius,
  stretch,
  shear,
  log_soft,
  share,
  disc,
  ring,
  base,
  cos_1,
  sin_1,
  motion_x,
  motion_y,
  cos_2,  // followed by sin_2, cos_3, sin_3, ... of `harmonics`
};
inline constexpr int harmonics = 3;
inline constexpr Eigen::Index few_parameters = motion_x;
inline constexpr Eigen::Index all_parameters = cos_2 + 2 * (harmonics - 1);

struct Pixels {
  Eigen::ArrayXf x;  // upright pixels of the whole picture
  Eigen::ArrayXf y;
  Eigen::ArrayXf grey;
};

struct Evaluation {
  Eigen::MatrixXf design;    // pixels x parameters: derivatives of the model
  Eigen::VectorXf residual;  // grey - model
  Eigen::ArrayXf radius;     // distance from the centre in outer radii
  Eigen::ArrayXf shape;      // the model without its ground
  Eigen::ArrayXf bare;       // share of the ground in the pixel, 0 .. 1
  Eigen::ArrayXf steepness;  // of the model towards the centre, grey levels a pixel, 0 or more
};

// `p` has few_parameters or all_parameters rows.
void evaluate(const Pixels& pixels, const Eigen::VectorXd& p, bool ringed, Evaluation& out);

Eigen::VectorXd parameters_of(Point centre_px, const Look& look, double base_grey, Eigen::Index count);
Look look_of(const Eigen::VectorXd& p, bool ringed);

}  // namespace risetrace::sticker
