// Changed, not changed, cannot tell.
#include "visit/find_trends.h"

#include <gtest/gtest.h>

#include <cmath>

#include "shipped.h"

namespace risetrace::visit {
namespace {

using test::shipped;

EarlierVisit visit(const std::string& date, double left, double right) {
  return {date,
          "R-017",
          {test::raises(Side::left, Knee::straight, left), test::raises(Side::right, Knee::straight, right)}};
}

const Trend& trend_of(const std::vector<Trend>& trends, Side side) {
  for (const Trend& trend : trends) {
    if (trend.quantity == "reps" && trend.slot.side == side) return trend;
  }
  throw std::runtime_error("no trend");
}

// Reps: 5.7 (Ross & Fontenot 2000) and 18.6 (Byrne et al. 2017); of a difference of two legs the root of two times
// that.
TEST(FindTrends, VerdictsByTheRetestNoise) {
  const auto verdict = [](double then, double now) {
    return trend_of(find_trends({visit("2026-01-01", then, 40), visit("2026-03-02", now, 40)}, shipped().norms),
                    Side::left)
        .verdict;
  };
  EXPECT_EQ(verdict(20, 25), Change::not_changed);
  EXPECT_EQ(verdict(20, 26), Change::cannot_tell);
  EXPECT_EQ(verdict(20, 38), Change::cannot_tell);
  EXPECT_EQ(verdict(20, 39), Change::changed);
  EXPECT_EQ(verdict(39, 20), Change::changed);
}

TEST(FindTrends, OfTheSidesTakesTheNoiseOfTwoLegs) {
  const auto trends = find_trends({visit("2026-01-01", 10, 40), visit("2026-03-02", 38, 40)}, shipped().norms);
  const Trend& sides = trend_of(trends, Side::not_stated);
  EXPECT_DOUBLE_EQ(sides.points.front().value, -30);
  EXPECT_DOUBLE_EQ(sides.points.back().value, -2);
  EXPECT_NEAR(*sides.noise_cautious, std::sqrt(2.0) * 18.6, 1e-12);
  EXPECT_EQ(sides.verdict, Change::changed);  // 28 beyond 26.3
  EXPECT_EQ(sides.better, true);              // they came together
}

TEST(FindTrends, TakesVisitsInAnyOrderAndTheLatestAsToday) {
  const auto trends = find_trends(
      {visit("2026-03-02", 39, 40), visit("2026-01-01", 20, 40), visit("2026-02-01", 30, 40)}, shipped().norms);
  const Trend& left = trend_of(trends, Side::left);
  ASSERT_EQ(left.points.size(), 3U);
  EXPECT_EQ(left.points[1].date, "2026-02-01");
  EXPECT_DOUBLE_EQ(left.change, 19);
  EXPECT_EQ(left.since_last, Change::cannot_tell);  // 9
}

TEST(FindTrends, CannotTellWhereTheTestWasDoneOtherwise) {
  EarlierVisit then = visit("2026-01-01", 10, 40);
  then.results[0].incline_deg = 10;
  const auto trends = find_trends({then, visit("2026-03-02", 38, 40)}, shipped().norms);
  EXPECT_EQ(trend_of(trends, Side::left).verdict, Change::cannot_tell);
  EXPECT_EQ(trend_of(trends, Side::left).form_differs, "incline");
  EXPECT_EQ(trend_of(trends, Side::right).form_differs, "");
}

TEST(FindTrends, NothingFromOneVisitOrFromWhatWasNotTestedToday) {
  EXPECT_TRUE(find_trends({visit("2026-03-02", 20, 20)}, shipped().norms).empty());
  const EarlierVisit today{"2026-03-02", "R-017", {}};
  EXPECT_TRUE(find_trends({visit("2026-01-01", 20, 20), today}, shipped().norms).empty());
}

TEST(FindTrends, HopsByTheirBeat) {
  const EarlierVisit then{"2026-01-01", "R-017", {test::hops(Side::left, 320, 150)}};
  const EarlierVisit now{"2026-03-02", "R-017", {test::hops(Side::left, 250, 151)}};
  const EarlierVisit slower{"2026-03-02", "R-017", {test::hops(Side::left, 250, 120)}};
  const auto contact = [](const std::vector<Trend>& trends) {
    return std::count_if(trends.begin(), trends.end(), [](const Trend& t) { return t.quantity == "contact_ms"; });
  };
  EXPECT_EQ(contact(find_trends({then, now}, shipped().norms)), 1);
  EXPECT_EQ(contact(find_trends({then, slower}, shipped().norms)), 0);
}

}  // namespace
}  // namespace risetrace::visit
