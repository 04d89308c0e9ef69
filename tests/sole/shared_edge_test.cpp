#include "sole/shared_edge.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "sole/shoe_piece.h"

namespace risetrace::sole {
namespace {

// A sole that rises towards the toes.
std::vector<Point> sole_edge(int columns, Point moved_px) {
  std::vector<Point> edge;
  for (int x = 0; x < columns; ++x) edge.push_back({x + moved_px.x, 600 - 0.004 * x * x + moved_px.y});
  return edge;
}

TEST(SharedEdge, OfFewerThanThreeContactsIsNotThere) {
  SharedEdge shared;
  EXPECT_TRUE(shared.at({}).empty());
  shared.add(sole_edge(40, {}), {});
  shared.add(sole_edge(40, {}), {});
  EXPECT_TRUE(shared.at({}).empty());
  shared.add(sole_edge(40, {}), {});
  EXPECT_EQ(shared.at({}).size(), 40U);
}

TEST(SharedEdge, ColumnsThatFewContactsHaveAreLeftOut) {
  SharedEdge shared;
  for (const int columns : {40, 40, 40, 60, 60}) shared.add(sole_edge(columns, {}), {});
  EXPECT_EQ(shared.at({}).size(), 40U);
  shared.add(sole_edge(60, {}), {});
  EXPECT_EQ(shared.at({}).size(), 60U);
}

// Wherever the shoe has come down, and with one contact in three that took a shadow's edge for the shoe's.
RC_GTEST_PROP(SharedEdge, IsTheShoesWhereverItStands, ()) {
  std::mt19937 random(*rc::gen::arbitrary<unsigned>());
  std::uniform_int_distribution<int> moves(-30, 30);
  std::normal_distribution<double> noise(0.0, 0.1);
  SharedEdge shared;
  const int contacts = *rc::gen::inRange(5, 15);
  for (int i = 0; i < contacts; ++i) {
    const Point moved{static_cast<double>(moves(random)), noise(random)};
    std::vector<Point> edge = sole_edge(50, moved);
    for (Point& p : edge) p.y += noise(random) + (3 * i < contacts - 2 ? 4.0 : 0.0);
    shared.add(edge, moved);
  }
  const Point moved{static_cast<double>(moves(random)), 0};
  const std::vector<Point> edge = shared.at(moved);
  RC_ASSERT(edge.size() == 50U);
  for (const Point& p : edge) {
    const double x = p.x - moved.x;
    RC_ASSERT(std::abs(p.y - (600 - 0.004 * x * x)) < 0.6);
  }
}

// A plate of 40 by 30; a piece whose edge goes from (10, 20) to (19, 20).
struct Hung {
  Plate plate{{0, 0, 40, 30}, std::vector<float>(1200, 50.0F)};
  ShoePiece piece;

  Hung() {
    for (int x = 10; x < 20; ++x) piece.edge_px.push_back({static_cast<double>(x), 20});
    piece.pivot_px = {15, 20};
    piece.floor_row_px = 20;
  }
  [[nodiscard]] bool hidden(int x, int y) const { return std::isnan(plate.at(x, y)); }
};

TEST(HideShoe, HidesWhatLiesAboveItsEdgeAndBehindIt) {
  for (const double forward : {1.0, -1.0}) {
    Hung hung;
    hide_shoe(hung.plate, hung.piece, {0, -8, 0}, forward, 2);
    EXPECT_TRUE(hung.hidden(15, 0));
    EXPECT_TRUE(hung.hidden(15, 13));
    EXPECT_FALSE(hung.hidden(15, 14)) << "the floor under it is bare";
    const int behind = forward > 0 ? 2 : 37;
    const int ahead = forward > 0 ? 37 : 2;
    EXPECT_TRUE(hung.hidden(behind, 5)) << "there is more of the shoe";
    EXPECT_FALSE(hung.hidden(ahead, 5)) << "there is none";
  }
}

}  // namespace
}  // namespace risetrace::sole
