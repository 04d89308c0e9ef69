// The front of a drawn shoe cut out and found again.
#include "sole/shoe_piece.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>
#include <vector>

#include "drawn_world.h"
#include "sole/edge_in_air.h"

namespace risetrace::sole {
namespace {

using test::DrawnShoe;
using test::Film;
using test::frame_of;
using test::plate_of;
using test::Shade;
using test::shoe_world;
using test::whole_strip;

constexpr int soft_reach_px = 2;

struct Stage {
  Ground ground;
  Ground soft;
  std::vector<PiecePair> pieces;
};

PieceCutting cutting() {
  return {{DrawnShoe::heel_sticker, 1, DrawnShoe::px_per_cm, std::nullopt}, 1.5F, soft_reach_px};
}

Stage staged(const Shade& shade) {
  Stage out;
  out.ground = {plate_of(shoe_world({}, shade), Film{}), plate_of(test::empty_world(), Film{})};
  out.soft = blurred(out.ground, soft_reach_px);
  out.pieces = cut_pieces(out.ground, out.soft, cutting());
  return out;
}

// The piece whose lowest edge is nearest to a row.
const PiecePair* nearest_to(const std::vector<PiecePair>& pieces, double row) {
  const auto off = [&](const PiecePair& p) { return std::abs(p.sharp.floor_row_px - row); };
  const auto at =
      std::min_element(pieces.begin(), pieces.end(), [&](const auto& a, const auto& b) { return off(a) < off(b); });
  return at == pieces.end() ? nullptr : &*at;
}

Strip strip_with(const ShoePiece& piece, const Pose& pose, const Shade& shade, const Film& film) {
  return whole_strip(frame_of(shoe_world({piece.pivot_px, pose}, shade), film));
}

double rms(const std::vector<double>& values) {
  const double sum = std::inner_product(values.begin(), values.end(), values.begin(), 0.0);
  return std::sqrt(sum / static_cast<double>(values.size()));
}

TEST(CutPieces, TheEdgeIsWhereItWasDrawn) {
  const Stage stage = staged({});
  const PiecePair* piece = nearest_to(stage.pieces, DrawnShoe::floor_row);
  ASSERT_NE(piece, nullptr);
  EXPECT_NEAR(piece->sharp.floor_row_px, DrawnShoe::floor_row, 0.3);
  std::vector<double> errors;
  for (const Point& p : piece->sharp.edge_px) errors.push_back(p.y - DrawnShoe::bottom(p.x));
  EXPECT_GT(errors.size(), 50U);
  EXPECT_LT(rms(errors), 0.3);
  EXPECT_NEAR(clearance_px(piece->sharp, {}), 0, 1e-9);
  EXPECT_NEAR(clearance_px(piece->sharp, {3, -7, 0}), 7, 1e-9);
}

TEST(CutPieces, NothingStandsThere) {
  const Plate empty = plate_of(test::empty_world(), Film{});
  const Ground ground{empty, empty};
  EXPECT_TRUE(cut_pieces(ground, blurred(ground, soft_reach_px), cutting()).empty());
}

TEST(CutPieces, TheForefootsStickerSaysWhereTheBallIs) {
  const Stage stage = staged({});
  PieceCutting with = cutting();
  with.where.forefoot_px = Point{275, 180};
  const auto pieces = cut_pieces(stage.ground, stage.soft, with);
  ASSERT_FALSE(pieces.empty());
  for (const PiecePair& p : pieces) {
    EXPECT_GE(p.sharp.edge_px.front().x, 275 - 2.5 * DrawnShoe::px_per_cm - 1);  // the ball reaches so far back: ours
  }
}

// Known moves and turns of the shoe, in noise: its height to some hundredths of a pixel. Along the sole there is less
// to hold on to, and less depends on it.
TEST(Settle, FindsTheShoeAgainWhereverItWent) {
  const Stage stage = staged({});
  const PiecePair* piece = nearest_to(stage.pieces, DrawnShoe::floor_row);
  ASSERT_NE(piece, nullptr);
  std::vector<double> down;
  std::vector<double> stated;
  std::vector<double> turn;
  Film film;
  film.noise = 2;
  for (const double up : {0.0, 0.3, 0.62, 1.5, 4.25, 9.8}) {
    for (const double turned : {0.0, 0.04, 0.11}) {
      ++film.seed;
      const Pose pose{0.4 * up, -up, turned};
      const Strip strip = strip_with(piece->sharp, pose, {}, film);
      const Pose start{pose.right_px + 0.8, pose.down_px - 1.1, pose.turn_rad - 0.03};
      const auto fit = settle(piece->sharp, strip, stage.ground.empty, start);
      ASSERT_TRUE(fit) << up << " " << turned;
      down.push_back(fit->pose.down_px - pose.down_px);
      turn.push_back(fit->pose.turn_rad - pose.turn_rad);
      stated.push_back(fit->sigma_px);
      EXPECT_NEAR(fit->pose.right_px, pose.right_px, 0.5) << up << " " << turned;
      EXPECT_LT(fit->misfit, 0.1) << up << " " << turned;
    }
  }
  RecordProperty("down_rms_px", std::to_string(rms(down)));
  RecordProperty("stated_rms_px", std::to_string(rms(stated)));
  RecordProperty("turn_rms_rad", std::to_string(rms(turn)));
  EXPECT_LT(rms(down), 0.1);
  EXPECT_LT(rms(turn), 0.004);
}

// The camera shook: what is found is the place in the first frame's picture.
TEST(Settle, TheShakeIsTakenOut) {
  const Stage stage = staged({});
  const PiecePair* piece = nearest_to(stage.pieces, DrawnShoe::floor_row);
  ASSERT_NE(piece, nullptr);
  const Point shake{1.3, -2.6};
  const Pose pose{1, -5, 0.05};
  const auto still = shoe_world({piece->sharp.pivot_px, pose}, {});
  const auto shaken = [&](double x, double y) { return still(x - shake.x, y - shake.y); };
  const Strip strip = whole_strip(frame_of(shaken, Film{}), shake);
  const auto fit = settle(piece->sharp, strip, stage.ground.empty, {0.5, -4.2, 0.03});
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->pose.down_px, pose.down_px, 0.1);
  EXPECT_NEAR(fit->pose.right_px, pose.right_px, 0.2);
}

// The light changes and the shadow under the shoe fades as it rises: neither moves it.
TEST(Settle, ShadeIsNoShoe) {
  const Shade standing{0.5, 203, 4};
  const Stage stage = staged(standing);
  const PiecePair* piece = nearest_to(stage.pieces, DrawnShoe::floor_row);
  ASSERT_NE(piece, nullptr);
  for (const double up : {0.0, 0.5, 1.0, 2.0, 4.0, 8.0}) {
    const Shade fading{0.5 * std::exp(-up / 6), 203, 4 + up};
    const Pose pose{0, -up, 0};
    const Strip strip = strip_with(piece->sharp, pose, fading, Film{});
    const auto fit = settle(piece->sharp, strip, stage.ground.empty, pose);
    ASSERT_TRUE(fit) << up;
    EXPECT_NEAR(fit->pose.down_px, -up, 0.25) << up;
  }
}

TEST(Settle, SaysWhereItDoesNotFit) {
  const Stage stage = staged({});
  const PiecePair* piece = nearest_to(stage.pieces, DrawnShoe::floor_row);
  ASSERT_NE(piece, nullptr);
  const Strip standing = strip_with(piece->sharp, {}, {}, Film{});
  const Strip away = whole_strip(frame_of(test::empty_world(), Film{}));
  EXPECT_LT(rough_misfit(piece->sharp, standing, stage.ground.empty, {}), 0.05);
  EXPECT_GT(rough_misfit(piece->sharp, standing, stage.ground.empty, {0, -10, 0}), 0.3);
  EXPECT_GT(rough_misfit(piece->sharp, away, stage.ground.empty, {}), 0.3);
  EXPECT_EQ(rough_misfit(piece->sharp, standing, stage.ground.empty, {0, 5000, 0}), 1.0);
  EXPECT_FALSE(settle(piece->sharp, standing, stage.ground.empty, {0, 5000, 0}));
  const auto lost = settle(piece->sharp, away, stage.ground.empty, {});
  EXPECT_TRUE(!lost || lost->misfit > 0.3) << "a shoe about as dark as the floor: 0.38 where there is none";
}

// Every shoe over every floor fits a picture gone black, were they only dark enough.
TEST(Settle, NothingIsInABlackPicture) {
  const Stage stage = staged({});
  const PiecePair* piece = nearest_to(stage.pieces, DrawnShoe::floor_row);
  ASSERT_NE(piece, nullptr);
  const Strip black = whole_strip(frame_of([](double, double) { return 3.0; }, Film{}));
  EXPECT_FALSE(settle(piece->sharp, black, stage.ground.empty, {0, -10, 0}));
  const auto shoe = shoe_world({piece->sharp.pivot_px, {0, -10, 0}}, {});
  const Strip dim = whole_strip(frame_of([&](double x, double y) { return 0.7 * shoe(x, y); }, Film{}));
  const auto fit = settle(piece->sharp, dim, stage.ground.empty, {0, -9, 0});
  ASSERT_TRUE(fit) << "a lamp that flickers is no black picture";
  EXPECT_NEAR(fit->pose.down_px, -10, 0.3);
}

// A hard shadow has an edge of its own, 6 px under the shoe's. In the air the shoe is gone from it: what lies between
// the two edges stayed on the floor. The dark outsole's upper edge, on the other hand, goes where the shoe goes.
TEST(GoesAlong, TellsAShadowsEdgeFromTheSoles) {
  const Shade hard{0.6, 206, 1};
  const Stage stage = staged(hard);
  const auto edge_at = [&](double below_px) {
    std::vector<Point> edge;
    for (int x = 252; x < 290; ++x) edge.push_back({static_cast<double>(x), DrawnShoe::bottom(x) + below_px});
    return cut_piece(stage.ground, stage.soft, edge, cutting());
  };
  const auto midsole = edge_at(-5);
  const auto sole = edge_at(0);
  const auto shadow = edge_at(6.5);
  ASSERT_TRUE(midsole && sole && shadow);
  const Pose pose{0, -30, 0.1};
  for (const auto& [upper, lower, with] : {std::tuple{&midsole, &sole, true}, std::tuple{&sole, &shadow, false}}) {
    const Strip air = strip_with((*upper)->sharp, pose, {0.1, 206, 12}, Film{});
    EXPECT_EQ(goes_along((*upper)->sharp, (*lower)->sharp, stage.ground, {{&air, pose}}), with);
  }
}

// Columns ahead of the toes hold no shoe, only what lay before it.
TEST(EdgeThatGoesAlong, LeavesOutWhatStaysBehind) {
  const Shade hard{0.6, 206, 1};
  const Stage stage = staged(hard);
  std::vector<Point> edge;
  for (int x = 262; x < 350; ++x) {
    edge.push_back({static_cast<double>(x), x < 330 ? DrawnShoe::bottom(x) : DrawnShoe::bottom(329)});
  }
  const auto piece = cut_piece(stage.ground, stage.soft, edge, cutting());
  ASSERT_TRUE(piece);
  const Pose pose{0, -25, 0};
  const Strip air = strip_with(piece->sharp, pose, {}, Film{});
  const auto kept = edge_that_goes_along(piece->sharp, stage.ground, {{&air, pose}}, {});
  ASSERT_GT(kept.size(), 50U);
  // Measured: six columns too many. Looking for a curled-up toe's edge higher up lets some of the shadow's pass.
  EXPECT_LE(kept.back().x, 337);
  EXPECT_GE(kept.back().x, 320);
}

TEST(CutPiece, TooFewColumns) {
  const Stage stage = staged({});
  EXPECT_FALSE(cut_piece(stage.ground, stage.soft, {}, cutting()));
  EXPECT_FALSE(cut_piece(stage.ground, stage.soft, {{260, 200}, {261, 200}, {262, 200}}, cutting()));
}

}  // namespace
}  // namespace risetrace::sole
