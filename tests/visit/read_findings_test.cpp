// The reading rules by their truth table: every state of strength, recoil and ankle range.
#include "visit/read_findings.h"

#include <gtest/gtest.h>

#include <set>

#include "shipped.h"
#include "visit/compare.h"

namespace risetrace::visit {
namespace {

using model::SignState;
using model::Sureness;
using test::shipped;

Reading read(const std::vector<TestResult>& results) {
  return read_findings(results, compare(results, {}, shipped().norms), shipped().reading, shipped().norms);
}

std::set<std::string> keys(const Reading& reading, Side side) {
  std::set<std::string> out;
  for (const Finding& finding : reading.findings) {
    if (finding.side == side || finding.side == Side::both) out.insert(finding.key);
  }
  return out;
}

// The left leg's numbers against a right leg with 30 raises, 250 ms on the ground at 150 per minute, 12 cm to the wall.
std::vector<TestResult> left_with(SignState strength, SignState recoil, SignState ankle) {
  std::vector<TestResult> results;
  const auto low = [](SignState state) { return state == SignState::low; };
  if (strength != SignState::unknown) {
    results.push_back(test::raises(Side::left, Knee::straight, low(strength) ? 12 : 29));
    results.push_back(test::raises(Side::right, Knee::straight, 30));
  }
  if (recoil != SignState::unknown) {
    results.push_back(test::hops(Side::left, low(recoil) ? 310 : 255));
    results.push_back(test::hops(Side::right, 250));
  }
  if (ankle != SignState::unknown) {
    results.push_back(test::lunge(Side::left, low(ankle) ? 9 : 11.8));
    results.push_back(test::lunge(Side::right, 12));
  }
  return results;
}

constexpr SignState low = SignState::low;
constexpr SignState good = SignState::good;
constexpr SignState unknown = SignState::unknown;

// domain: strength low and recoil low: strength first; recoil low, strength good: recoil and up the chain; strength
// low, recoil good: strength; ankle short: that first (common practice, all). Nothing tested: nothing said.
TEST(ReadFindings, TruthTable) {
  struct Row {
    SignState strength, recoil, ankle;
    std::set<std::string> findings;
  };
  const std::vector<Row> table = {
      {low, low, low, {"ankle-first", "strength-first"}},
      {low, low, good, {"strength-first"}},
      {low, low, unknown, {"strength-first"}},
      {good, low, low, {"ankle-first", "recoil-and-chain"}},
      {good, low, good, {"recoil-and-chain"}},
      {good, low, unknown, {"recoil-and-chain"}},
      {low, good, low, {"ankle-first", "strength-alone"}},
      {low, good, good, {"strength-alone"}},
      {low, good, unknown, {"strength-alone"}},
      {good, good, low, {"ankle-first", "nothing-stands-out"}},
      {good, good, good, {"nothing-stands-out"}},
      {good, good, unknown, {"nothing-stands-out"}},
      {low, unknown, low, {"ankle-first", "strength-recoil-unknown"}},
      {low, unknown, good, {"strength-recoil-unknown"}},
      {low, unknown, unknown, {"strength-recoil-unknown"}},
      {good, unknown, low, {"ankle-first", "strength-good-recoil-unknown"}},
      {good, unknown, good, {"strength-good-recoil-unknown"}},
      {good, unknown, unknown, {"strength-good-recoil-unknown"}},
      {unknown, low, low, {"ankle-first", "recoil-strength-unknown"}},
      {unknown, low, good, {"recoil-strength-unknown"}},
      {unknown, low, unknown, {"recoil-strength-unknown"}},
      {unknown, good, low, {"ankle-first"}},
      {unknown, good, good, {}},
      {unknown, good, unknown, {}},
      {unknown, unknown, low, {"ankle-first"}},
      {unknown, unknown, good, {}},
      {unknown, unknown, unknown, {}},
  };
  ASSERT_EQ(table.size(), 27U);
  for (std::size_t i = 0; i < table.size(); ++i) {
    const Row& row = table[i];
    EXPECT_EQ(keys(read(left_with(row.strength, row.recoil, row.ankle)), Side::left), row.findings) << "row " << i;
  }
}

TEST(ReadFindings, EveryRuleCanFire) {
  std::set<std::string> fired;
  const auto add = [&](const Reading& reading) {
    for (const Finding& finding : reading.findings) fired.insert(finding.key);
  };
  for (const SignState s : {low, good, unknown}) {
    for (const SignState r : {low, good, unknown}) {
      for (const SignState a : {low, good, unknown}) add(read(left_with(s, r, a)));
    }
  }
  auto left = test::raises(Side::left, Knee::straight, 29);
  auto right = test::raises(Side::right, Knee::straight, 30);
  left.values["work_j"] = {900, 20.0, 0.005};
  right.values["work_j"] = {1400, 25.0, 0.005};
  add(read({left, right}));
  add(read({test::raises(Side::left, Knee::straight, 30), test::raises(Side::left, Knee::bent, 18)}));
  for (const model::Rule& rule : shipped().reading.rules) EXPECT_TRUE(fired.contains(rule.finding)) << rule.finding;
}

// Silbernagel et al. 2010, KSSTA 18:258, 12 months after a rupture: 95 % of the reps, 76 % of the work.
TEST(ReadFindings, SeesALossThatTheCountHides) {
  auto left = test::raises(Side::left, Knee::straight, 28.5);
  auto right = test::raises(Side::right, Knee::straight, 30);
  left.values["work_j"] = {76, 1.0, 0.0};
  right.values["work_j"] = {100, 1.0, 0.0};
  EXPECT_TRUE(keys(read({left, right}), Side::left).contains("reps-hide-loss"));
}

TEST(ReadFindings, IsAsSureAsTheRetestNoiseAllows) {
  const auto sureness = [](double left_reps) {
    const Reading reading =
        read({test::raises(Side::left, Knee::straight, left_reps), test::raises(Side::right, Knee::straight, 45)});
    for (const Finding& f : reading.findings) {
      if (f.key == "strength-recoil-unknown") return f.sureness;
    }
    throw std::runtime_error("no finding");
  };
  EXPECT_EQ(sureness(40), Sureness::doubtful);  // 5: within 5.7 (Ross & Fontenot 2000)
  EXPECT_EQ(sureness(38), Sureness::likely);    // 7
  EXPECT_EQ(sureness(26), Sureness::sure);      // 19: beyond 18.6 (Byrne et al. 2017)
}

TEST(ReadFindings, ADifferenceThatMeasuringCanMakeIsNoFinding) {
  auto left = test::raises(Side::left, Knee::straight, 29);
  auto right = test::raises(Side::right, Knee::straight, 30);
  left.values["work_j"] = {900, 200.0, 0.0};
  right.values["work_j"] = {1100, 200.0, 0.0};  // 18 % apart, but 200 J of 1.96 x 283
  EXPECT_FALSE(keys(read({left, right}), Side::left).contains("reps-hide-loss"));
}

// Left 10, right 24: both under 25, but the news is the left.
TEST(ReadFindings, TwoLowLegsThatDifferAreTwoFindingsTheLowerFirst) {
  for (const Side lower : {Side::left, Side::right}) {
    const Side other = lower == Side::left ? Side::right : Side::left;
    const Reading reading = read({test::raises(lower, Knee::straight, 10), test::raises(other, Knee::straight, 24)});
    ASSERT_EQ(reading.findings.size(), 2U);
    EXPECT_EQ(reading.findings[0].side, lower);
    EXPECT_EQ(reading.findings[0].sureness, Sureness::likely);  // 14: beyond 5.7, within 18.6
    EXPECT_EQ(reading.findings[1].side, other);
    EXPECT_EQ(reading.findings[1].sureness, Sureness::doubtful);
  }
  const Reading alike =
      read({test::raises(Side::left, Knee::straight, 15), test::raises(Side::right, Knee::straight, 15)});
  ASSERT_EQ(alike.findings.size(), 1U);
  EXPECT_EQ(alike.findings[0].side, Side::both);
}

// Alike is not good: eight raises on both legs, knee bent, were held against nothing.
TEST(ReadFindings, TwoEqualLegsAloneAreNotGood) {
  EXPECT_TRUE(
      read({test::raises(Side::left, Knee::bent, 8), test::raises(Side::right, Knee::bent, 8)}).findings.empty());
}

// A clip that ended before its set saw at least so many: enough may be, too few cannot be said.
TEST(ReadFindings, ACutOffSetIsALowerBound) {
  auto left = test::raises(Side::left, Knee::straight, 12);
  auto right = test::raises(Side::right, Knee::straight, 27);
  left.set_end = "clip-end";
  right.set_end = "low-height";
  EXPECT_TRUE(keys(read({left, right}), Side::left).empty());
  left.values["reps"].value = 26;
  EXPECT_TRUE(keys(read({left, right}), Side::left).contains("strength-good-recoil-unknown"));
}

// Only the fastest beat that both kept is read: twelve comparisons of one pair of legs are not twelve chances.
TEST(ReadFindings, OfHopsTheFastestCommonBeatIsRead) {
  auto left = test::hops(Side::left, 255, 150);
  auto right = test::hops(Side::right, 250, 150);
  left.beats.push_back({110, true, {{"contact_ms", {400, 2.0, 0.0}}}});
  right.beats.push_back({110, true, {{"contact_ms", {300, 2.0, 0.0}}}});
  EXPECT_FALSE(keys(read({left, right}), Side::left).contains("recoil-strength-unknown"));
}

TEST(ReadFindings, SaysWhichTestsWouldSayMore) {
  EXPECT_EQ(read({}).missing.size(), 9U);
  const auto missing = read({test::raises(Side::left, Knee::straight, 30)}).missing;
  EXPECT_EQ(missing.size(), 8U);
  EXPECT_EQ(std::count(missing.begin(), missing.end(), "heel-raise/left/straight"), 0);
}

TEST(ReadFindings, EveryFindingSaysWhy) {
  const Reading reading = read(left_with(low, low, low));
  ASSERT_FALSE(reading.findings.empty());
  for (const Finding& finding : reading.findings) {
    ASSERT_FALSE(finding.because.empty()) << finding.key;
    EXPECT_TRUE(finding.because.front().low);
    EXPECT_FALSE(finding.because.front().limit.empty());
    EXPECT_FALSE(finding.because.front().source.empty());
    EXPECT_FALSE(finding.could_also_be.empty());
  }
}

}  // namespace
}  // namespace risetrace::visit
