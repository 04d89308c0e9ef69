// The front of the shoe as it stands on the ground, cut out of the picture, and where it is in other frames.
//
// A frame is taken as two layers: the piece, moved and turned as one, over the still background; along its lower edge
// the background may be darkened by the shoe's shadow. Place, turn, the piece's brightness and the shadow are fitted
// together (Gauss-Newton, weights after Tukey, from memory: Beaton & Tukey 1974, Technometrics 16:147, so that what
// comes between does not pull). The shadow has no edge of its own in this model and so cannot pass for the shoe.
#pragma once

#include <optional>
#include <vector>

#include "base/geometry.h"
#include "sole/strip.h"

namespace risetrace::sole {

struct PiecePixel {
  float dx = 0.0F;  // from the piece's pivot, on the ground
  float dy = 0.0F;
  float grey = 0.0F;   // of the shoe
  float cover = 0.0F;  // 1 inside of the shoe, 0 below its edge
};

struct ShoePiece {
  Point pivot_px;              // in the middle of the lower edge
  double floor_row_px = 0.0;   // the lowest row of the shoe when it stands
  std::vector<Point> edge_px;  // the lower edge, one point a column
  std::vector<PiecePixel> pixels;
  float noise_grey = 1.0F;  // standard deviation of one pixel of one frame
};

struct Pose {
  double right_px = 0.0;
  double down_px = 0.0;
  double turn_rad = 0.0;  // clockwise in the picture
};

struct PieceFit {
  Pose pose;
  double sigma_px = 0.0;  // of down_px
  double misfit = 0.0;    // 0 .. 1: share of the piece that looks otherwise
};

struct PieceLimits {
  double least_down_px = 0.0;  // negative: upwards
  double greatest_down_px = 0.0;
  double least_turn_rad = 0.0;
  double greatest_turn_rad = 0.0;
};

struct PieceWhere {
  Point heel_px;       // of its sticker, with the shoe on the ground
  double forward = 1;  // +1: the toes point right in the picture
  double px_per_cm = 10.0;
  // The forefoot's sticker, where there is one: it says where the ball of the foot is.
  std::optional<Point> forefoot_px;
};

// `standing`: the picture while the shoe stands; `empty`: without it. One piece for each edge that may be the shoe's
// and not its shadow's, the likeliest first; the right one is that which is found again when the shoe is in the air.
// Empty where no edge stands out.
std::vector<ShoePiece> cut_pieces(const Plate& standing, const Plate& empty, const PieceWhere& where, float noise_grey);

// Where the piece is in a frame, beginning from `starts`. Empty: nothing like it.
std::optional<PieceFit> find_piece(const ShoePiece& piece, const Strip& strip, const Plate& empty,
                                   const std::vector<Pose>& starts, const PieceLimits& limits);

// Of the lowest point of the piece's edge above the row where it stands.
double clearance_px(const ShoePiece& piece, const Pose& pose);

}  // namespace risetrace::sole
