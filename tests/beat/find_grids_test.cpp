#include "beat/find_grids.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "beat/fit_grid.h"

namespace risetrace::beat {
namespace {

void in_order(std::vector<Event>& events) {
  std::sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
}

// A beat with some of its events missing, each off by `spread_s`, among `others_hz` that fall anywhere.
std::vector<Event> beat_among(double period_s, int beats, double missing, double spread_s, double others_hz,
                              unsigned seed) {
  std::mt19937 engine(seed);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<Event> events;
  for (int k = 0; k < beats; ++k) {
    if (k > 0 && k + 1 < beats && uniform(engine) < missing) continue;
    events.push_back({2.0 + k * period_s + spread_s * normal(engine), 20.0});
  }
  const double length_s = 4.0 + beats * period_s;
  for (int i = 0; i < others_hz * length_s; ++i) events.push_back({length_s * uniform(engine), 20.0});
  in_order(events);
  return events;
}

RC_GTEST_PROP(Grids, FoundAmongOthersWithSomeMissing, ()) {
  const double bpm = *rc::gen::inRange(300, 2400) / 10.0;
  const auto seed = *rc::gen::arbitrary<unsigned>();
  const auto events = beat_among(60.0 / bpm, 40, 0.15, 0.0003, 3.0, seed);
  const auto grids = find_grids(events);
  RC_ASSERT(grids.size() == 1U);
  RC_ASSERT(std::abs(grids[0].period_s * bpm / 60.0 - 1.0) < 2e-4);
  // Another event or two may lie by chance where the beat would go on.
  const auto beyond = std::count_if(grids[0].hits.begin(), grids[0].hits.end(), [&](const Hit& hit) {
    const double beat = (events[hit.event].time_s - 2.0) * bpm / 60.0;
    return beat < -0.5 || beat > 39.5;
  });
  RC_ASSERT(beyond <= 2);
  const auto on_beat = [&](const Event& event) {
    const double beat = (event.time_s - 2.0) * bpm / 60.0;
    return std::abs(beat - std::round(beat)) * 60.0 / bpm < 0.0015;
  };
  const auto there = std::count_if(events.begin(), events.end(), on_beat);
  const auto right = std::count_if(grids[0].hits.begin(), grids[0].hits.end(),
                                   [&](const Hit& hit) { return on_beat(events[hit.event]); });
  // Where many are missing at one end, the run's best part leaves out the few before them.
  RC_ASSERT(3 * right >= 2 * there);
  const double phase = (grids[0].offset_s - 2.0) / grids[0].period_s;
  RC_ASSERT(std::abs(phase - std::round(phase)) * grids[0].period_s < 0.0005);
}

TEST(Grids, NoneInRandomEvents) {
  int found = 0;
  for (unsigned seed = 0; seed < 60; ++seed) {
    for (const double rate_hz : {2.0, 6.0, 12.0}) {
      found += static_cast<int>(find_grids(beat_among(0.5, 0, 0.0, 0.0, rate_hz * 30.0 / 4.0, seed)).size());
    }
  }
  EXPECT_EQ(found, 0);  // of 180
}

TEST(Grids, APersonsEvennessIsNoMachines) {
  int found = 0;
  for (unsigned seed = 0; seed < 60; ++seed) {
    for (const double spread_s : {0.005, 0.008, 0.012}) {
      found += static_cast<int>(find_grids(beat_among(0.4, 100, 0.0, spread_s, 0.0, seed)).size());
    }
  }
  EXPECT_EQ(found, 0);  // of 180
}

TEST(Grids, NeitherHalfNorDoubleTempo) {
  for (const double bpm : {40.0, 61.0, 119.0}) {
    const auto grids = find_grids(beat_among(60.0 / bpm, 40, 0.0, 0.0002, 0.0, 1));
    ASSERT_EQ(grids.size(), 1U);
    EXPECT_NEAR(60.0 / grids[0].period_s, bpm, 0.02);
    EXPECT_EQ(grids[0].beats, 40);
  }
}

TEST(Grids, ALongSilenceIsBridgedWhereTheBeatGoesOn) {
  std::vector<Event> events;
  for (int k = 0; k < 60; ++k) {
    if (k < 20 || k >= 38) events.push_back({1.0 + 0.5 * k, 20.0});
  }
  auto grids = find_grids(events);
  ASSERT_EQ(grids.size(), 1U);
  EXPECT_EQ(grids[0].beats, 60);
  EXPECT_EQ(grids[0].hits.size(), 42U);
  for (Event& event : events) event.time_s += event.time_s > 15.0 ? 0.1 : 0.0;  // started anew, off the old beat
  EXPECT_EQ(find_grids(events).size(), 2U);
}

TEST(Grids, FewerThanEightAreNoBeat) {
  EXPECT_TRUE(find_grids(beat_among(0.5, 7, 0.0, 0.0, 0.0, 1)).empty());
  EXPECT_EQ(find_grids(beat_among(0.5, 8, 0.0, 0.0, 0.0, 1)).size(), 1U);
  EXPECT_TRUE(find_grids({}).empty());
  EXPECT_TRUE(find_grids({{1.0, 5.0}}).empty());
}

TEST(FitGrid, StrayHitsPullLittle) {
  Grid grid;
  std::vector<Event> events;
  for (int k = 0; k < 50; ++k) {
    events.push_back({3.0 + 0.4 * k + (k % 10 == 3 ? 0.003 : 0.0001 * ((k * 7) % 5 - 2)), 10.0});
    grid.hits.push_back({k, static_cast<std::size_t>(k)});
  }
  fit_grid(grid, events);
  EXPECT_NEAR(grid.period_s, 0.4, 2e-6);
  EXPECT_NEAR(grid.offset_s, 3.0, 2e-4);
  EXPECT_EQ(grid.beats, 50);
}

TEST(FitGrid, BowIsTheSagittaOfAParabola) {
  Grid grid;
  std::vector<Event> events;
  for (int k = 0; k <= 40; ++k) {
    const double half = (k - 20.0) / 20.0;
    events.push_back({0.5 * k + 0.002 * (1.0 - half * half), 10.0});
    grid.hits.push_back({k, static_cast<std::size_t>(k)});
  }
  fit_grid(grid, events);
  EXPECT_NEAR(grid.bow_s, 0.002, 1e-4);
  EXPECT_LT(grid.bow_s_u, 1e-4);
}

TEST(Sliding, ABeatThatSlowsDownIsFoundAndLandingsAreNot) {
  std::vector<Event> events;
  double at_s = 1.0;
  for (int k = 0; k < 60; ++k) {
    events.push_back({at_s, 20.0});
    at_s += 0.4 * std::pow(1.003, k);
  }
  EXPECT_EQ(find_sliding_run(events).size(), 60U);
  int found = 0;
  for (unsigned seed = 0; seed < 60; ++seed) {
    std::mt19937 engine(seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    events.clear();
    at_s = 1.0;
    for (int k = 0; k < 140; ++k) {
      events.push_back({at_s, 20.0});
      at_s += 0.4 * (1.0 + 0.02 * normal(engine));
    }
    found += find_sliding_run(events).empty() ? 0 : 1;
  }
  EXPECT_EQ(found, 0);
}

}  // namespace
}  // namespace risetrace::beat
