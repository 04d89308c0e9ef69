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
  float doubt =
      1.0F;  // standard deviation, grey levels: the sensor's, and on a step of brightness what blur does to it
};

struct ShoePiece {
  Point pivot_px;              // in the middle of the lower edge
  double floor_row_px = 0.0;   // the lowest row of the shoe when it stands
  std::vector<Point> edge_px;  // the lower edge, one point a column
  std::vector<PiecePixel> pixels;
};

// The same piece sharp and blurred: blurred it is found from farther away, sharp it is found exactly.
struct PiecePair {
  ShoePiece sharp;
  ShoePiece soft;
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

struct PieceWhere {
  Point heel_px;       // of its sticker, with the shoe on the ground
  double forward = 1;  // +1: the toes point right in the picture
  double px_per_cm = 10.0;
  // The forefoot's sticker, where there is one: it says where the ball of the foot is.
  std::optional<Point> forefoot_px;
};

struct Ground {
  Plate standing;  // the picture while the shoe stands
  Plate empty;     // without it
};

Ground blurred(const Ground& ground, int reach_px);

struct PieceCutting {
  PieceWhere where;
  float noise_grey = 1.0F;  // standard deviation of one pixel of one frame
  int soft_reach_px = 3;    // `soft` below is `ground` blurred by so much
};

// One piece for each edge that may be the shoe's and not its shadow's; which of them is, shows when the shoe is in the
// air. The one with the highest edge first. Empty where no edge stands out.
std::vector<PiecePair> cut_pieces(const Ground& ground, const Ground& soft, const PieceCutting& cutting);
// The piece above a known edge. Empty: too few columns.
std::optional<PiecePair> cut_piece(const Ground& ground, const Ground& soft, const std::vector<Point>& edge_px,
                                   const PieceCutting& cutting);

// How much of the piece looks otherwise in this place, 0 .. 1, from some of its pixels.
double rough_misfit(const ShoePiece& piece, const Strip& strip, const Plate& empty, const Pose& pose);
// The place nearby where the piece fits best. Empty: it runs away, or too little of it is in sight.
std::optional<PieceFit> settle(const ShoePiece& piece, const Strip& strip, const Plate& empty, const Pose& start);

// The same place for a piece cut from the same picture that turns about another pivot.
Pose at_pivot(const Pose& pose, const ShoePiece& from, const ShoePiece& to);

// Where a point of the standing shoe has gone.
Point place_of(const ShoePiece& piece, const Pose& pose, Point standing_px);

// Takes out of a plate what a shoe in this place hides of it, from `margin_px` below its edge upwards; `forward` as in
// PieceWhere.
void hide_shoe(Plate& plate, const ShoePiece& piece, const Pose& pose, double forward, double margin_px);

// Of an edge.
double lowest_row_px(const std::vector<Point>& edge_px);

// Of the lowest point of the piece's edge above the row where it stands.
double clearance_px(const ShoePiece& piece, const Pose& pose);

}  // namespace risetrace::sole
