// Differences, indices and their uncertainty, worked by hand; what may be set against what.
#include "visit/compare.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "shipped.h"

namespace risetrace::visit {
namespace {

using test::shipped;

const model::Quantity& quantity(const std::string& key) { return *shipped().norms.quantity(key); }

const SideRow* row_of(const Comparison& comparison, const std::string& quantity, Knee knee,
                      std::optional<double> bpm = std::nullopt) {
  for (const SideRow& row : comparison.sides) {
    if (row.quantity == quantity && row.knee == knee && row.beat_bpm == bpm) return &row;
  }
  return nullptr;
}

// 10.0 cm, u 0.13, and 8.0 cm, u 0.11; 1 % of each is the card's print, common to both (derived here):
// own parts 0.13^2 - 0.10^2 = 0.0069 and 0.11^2 - 0.08^2 = 0.0057; the difference 2.0 has 0.0126 + (0.01 x 2)^2 =
// 0.0130, u 0.11402 cm. Charged twice it would be sqrt(0.13^2 + 0.11^2) = 0.17029.
// Index 80 %: (8.0 / 10.0) sqrt(0.0057 / 64 + 0.0069 / 100) = 0.8 x 0.012571 = 1.0057 %.
TEST(DifferenceOf, TheSharedScaleErrorCancels) {
  const Value left{10.0, 0.13, 0.01};
  const Value right{8.0, 0.11, 0.01};
  const Difference d = difference_of(left, right, quantity("greatest_height_cm"), Affected::not_known, shipped().norms);
  EXPECT_DOUBLE_EQ(d.difference, 2.0);
  ASSERT_TRUE(d.difference_u);
  EXPECT_NEAR(*d.difference_u, std::sqrt(0.0130), 1e-12);
  ASSERT_TRUE(d.index_pct && d.index_pct_u);
  EXPECT_NEAR(*d.index_pct, 80.0, 1e-12);
  EXPECT_NEAR(*d.index_pct_u, 80 * std::sqrt(0.0057 / 64 + 0.0069 / 100), 1e-9);
}

// The three readings apart. 2.0 cm of height: beyond measuring (1.96 x 0.114 = 0.22), within the retest noise of 2.2 cm
// (Byrne et al. 2017), beyond the customary 10 %.
TEST(DifferenceOf, KeepsTheThreeReadingsApart) {
  const Difference d = difference_of({10.0, 0.13, 0.01}, {8.0, 0.11, 0.01}, quantity("greatest_height_cm"),
                                     Affected::not_known, shipped().norms);
  EXPECT_EQ(d.beyond.measuring, Beyond::yes);
  EXPECT_EQ(d.beyond.noise_optimistic, Beyond::no);
  EXPECT_EQ(d.beyond.noise_cautious, Beyond::no);
  EXPECT_EQ(d.beyond.cut_off, Beyond::yes);
}

// Reps: 5.7 (Ross & Fontenot 2000) and 18.6 (Byrne et al. 2017) of retest noise; 5 reps or 10 % customary.
TEST(DifferenceOf, RepsAgainstBothRetestNoisesAndBothCutOffs) {
  struct Case {
    double left, right;
    Beyond optimistic, cautious, cut_off;
  };
  for (const Case& c : {Case{25, 24, Beyond::no, Beyond::no, Beyond::no},       // 1, 96 %
                        Case{25, 22, Beyond::no, Beyond::no, Beyond::yes},      // 3, 88 %: by the index alone
                        Case{10, 9, Beyond::no, Beyond::no, Beyond::no},        // 1 of 10: 10 %, not more
                        Case{60, 56, Beyond::no, Beyond::no, Beyond::no},       // 4, not more
                        Case{60, 55, Beyond::no, Beyond::no, Beyond::yes},      // 5, 91.7 %: by the difference alone
                        Case{25, 19, Beyond::yes, Beyond::no, Beyond::yes},     // 6
                        Case{25, 6, Beyond::yes, Beyond::yes, Beyond::yes}}) {  // 19
    const Difference d =
        difference_of({c.left, {}, 0}, {c.right, {}, 0}, quantity("reps"), Affected::not_known, shipped().norms);
    EXPECT_EQ(d.beyond.measuring, Beyond::not_known);  // a count has no stated uncertainty
    EXPECT_EQ(d.beyond.noise_optimistic, c.optimistic) << c.left << " " << c.right;
    EXPECT_EQ(d.beyond.noise_cautious, c.cautious) << c.left << " " << c.right;
    EXPECT_EQ(d.beyond.cut_off, c.cut_off) << c.left << " " << c.right;
  }
}

TEST(DifferenceOf, TheIndexIsOfTheAffectedLegWhereOneIsNamed) {
  const auto index = [&](Affected affected) {
    return *difference_of({30, {}, 0}, {24, {}, 0}, quantity("reps"), affected, shipped().norms).index_pct;
  };
  EXPECT_DOUBLE_EQ(index(Affected::not_known), 80);
  EXPECT_DOUBLE_EQ(index(Affected::second), 80);
  EXPECT_DOUBLE_EQ(index(Affected::first), 125);
}

// A relative retest noise is of the mean of the two: 15.5 % of 250 ms.
TEST(NoiseLimit, OfARelativeOneIsTakenOfTheMean) {
  const model::RetestNoise* noise = shipped().norms.noise_of("contact_ms");
  EXPECT_NEAR(*noise_limit(noise, true, 240, 260), 0.155 * 250, 1e-9);
  EXPECT_FALSE(noise_limit(nullptr, true, 1, 1));
}

RC_GTEST_PROP(DifferenceOf, SwappedSidesTurnTheSignAndNothingElse, ()) {
  const auto value = [](const char*) {
    const double v = *rc::gen::inRange(100, 3000) / 100.0;
    return Value{v, v * *rc::gen::inRange(1, 50) / 1000.0, *rc::gen::inRange(0, 10) / 10000.0};
  };
  const Value a = value("a");
  const Value b = value("b");
  const auto& q = quantity("greatest_height_cm");
  const Difference ab = difference_of(a, b, q, Affected::not_known, shipped().norms);
  const Difference ba = difference_of(b, a, q, Affected::not_known, shipped().norms);
  RC_ASSERT(ab.difference == -ba.difference);
  RC_ASSERT(std::abs(*ab.difference_u - *ba.difference_u) < 1e-12);
  RC_ASSERT(std::abs(*ab.index_pct - *ba.index_pct) < 1e-9);
  RC_ASSERT(ab.beyond.cut_off == ba.beyond.cut_off);
  RC_ASSERT(ab.beyond.measuring == ba.beyond.measuring);
  // The shared part can only make the difference surer.
  RC_ASSERT(*ab.difference_u <= std::hypot(*a.u, *b.u) + 1e-12);
}

TEST(Compare, NamesTheWeakerLegByWhatIsBetter) {
  const auto& norms = shipped().norms;
  const Comparison c =
      compare({test::raises(Side::left, Knee::straight, 25), test::raises(Side::right, Knee::straight, 15),
               test::hops(Side::left, 300), test::hops(Side::right, 250)},
              {}, norms);
  EXPECT_EQ(row_of(c, "reps", Knee::straight)->weaker, Side::right);
  EXPECT_EQ(row_of(c, "contact_ms", Knee::not_stated, 150)->weaker, Side::left);  // longer on the ground
}

TEST(Compare, SaysWhereOnlyOneSideWasTested) {
  const Comparison c = compare({test::raises(Side::left, Knee::straight, 25)}, {}, shipped().norms);
  const SideRow* row = row_of(c, "reps", Knee::straight);
  ASSERT_NE(row, nullptr);
  EXPECT_FALSE(row->difference);
  EXPECT_EQ(row->why_not, "one-side");
}

TEST(Compare, HopsOfDifferentBeatsAreNotSetAgainstEachOther) {
  const Comparison c =
      compare({test::hops(Side::left, 250, 150), test::hops(Side::right, 300, 120)}, {}, shipped().norms);
  const SideRow* row = row_of(c, "contact_ms", Knee::not_stated, 150);
  ASSERT_NE(row, nullptr);
  EXPECT_FALSE(row->difference);
  EXPECT_EQ(row->why_not, "beat-differs");
}

// 110 heard on both sides, but the right went on at 128: not the same beat.
TEST(Compare, HopsThatDidNotKeepTheBeatAreNotSetAgainstThoseThatDid) {
  auto left = test::hops(Side::left, 250, 110);
  auto right = test::hops(Side::right, 300, 110);
  left.beats[0].values["hop_rate_per_min"] = {110, {}, 0};
  right.beats[0].values["hop_rate_per_min"] = {128, {}, 0};
  right.beats[0].kept = false;
  EXPECT_EQ(row_of(compare({left, right}, {}, shipped().norms), "contact_ms", Knee::not_stated, 110)->why_not,
            "beat-differs");
  right.beats[0].values["hop_rate_per_min"] = {111, {}, 0};
  EXPECT_TRUE(row_of(compare({left, right}, {}, shipped().norms), "contact_ms", Knee::not_stated, 110)->difference);
}

// A beat with no numbers on one side leaves the rows of the other beats alone.
TEST(Compare, AnEmptyBeatTouchesNoOther) {
  auto left = test::hops(Side::left, 250, 150);
  left.beats.push_back({100, true, {}});
  const Comparison c = compare({left, test::hops(Side::right, 260, 150)}, {}, shipped().norms);
  EXPECT_EQ(row_of(c, "contact_ms", Knee::not_stated, 150)->why_not, "");
}

TEST(Compare, CountsByDifferentEndFractionsAreNotSetAgainstEachOther) {
  auto left = test::raises(Side::left, Knee::straight, 25);
  auto right = test::raises(Side::right, Knee::straight, 15);
  left.end_fraction = 0.75;
  right.end_fraction = 0.5;
  const Comparison c = compare({left, right}, {}, shipped().norms);
  EXPECT_EQ(row_of(c, "reps", Knee::straight)->why_not, "fraction-differs");
  right.end_fraction = 0.75;
  EXPECT_TRUE(row_of(compare({left, right}, {}, shipped().norms), "reps", Knee::straight)->difference);
}

TEST(Compare, BentAgainstStraightOnTheSameLeg) {
  const Comparison c = compare({test::raises(Side::left, Knee::straight, 25), test::raises(Side::left, Knee::bent, 20)},
                               {}, shipped().norms);
  ASSERT_EQ(c.knees.size(), 1U);
  EXPECT_EQ(c.knees[0].side, Side::left);
  EXPECT_DOUBLE_EQ(c.knees[0].difference->difference, -5);
}

// The 10 degree incline of Hébert-Losier et al. 2017 and the malleolus marker of Sleeswijk Visser et al. 2025.
TEST(Compare, WarnsWhereAReferenceWasGotOtherwise) {
  auto left = test::raises(Side::left, Knee::straight, 25);
  left.values["greatest_height_cm"] = {9.0, 0.1, 0.0};
  Person woman;
  woman.sex = Sex::female;
  const Comparison c = compare({left}, woman, shipped().norms);
  const auto differs = [&](const std::string& key) -> std::vector<std::string> {
    for (const ReferenceRow& row : c.references) {
      if (row.reference.key == key) return row.form_differs;
    }
    return {"not there"};
  };
  EXPECT_EQ(differs("reps-hebert-losier-2017-women"), std::vector<std::string>{"incline"});
  EXPECT_EQ(differs("greatest-height-visser-2025"), std::vector<std::string>{"marker"});
  EXPECT_TRUE(differs("reps-lunsford-1995").empty());
  EXPECT_EQ(differs("reps-hebert-losier-2017-men"), std::vector<std::string>{"not there"});
}

}  // namespace
}  // namespace risetrace::visit
