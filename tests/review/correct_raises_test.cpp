#include "review/correct_raises.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

#include "raise/filmed_set.h"
#include "raise/find_reps.h"
#include "review/made_corrections.h"

namespace risetrace::review {
namespace {

using raise::Rep;
using raise::RepSet;
using raise::test::Movement;
using raise::test::protocol;
using raise::test::Samples;

RepSet corrected(const Samples& samples, const Corrections& corrections) {
  const auto set = corrected_set(samples, corrections, protocol());
  EXPECT_TRUE(set.ok()) << (set ? "" : set.error().why);
  return set ? *set : RepSet{};
}

std::string refusal(const Samples& samples, const Corrections& corrections) {
  const auto set = corrected_set(samples, corrections, protocol());
  EXPECT_FALSE(set.ok());
  if (set) return "";
  EXPECT_EQ(set.error().fault, Fault::corrections_wrong);
  return set.error().why;
}

// Ten reps of 10 cm but the eighth and ninth, which are low and end the set.
Samples usual() {
  Movement m;
  m.stay(2);
  for (int i = 0; i < 10; ++i) m.rep(i == 7 || i == 8 ? 6.0 : 10.0 - 0.05 * i);
  m.stay(2);
  return raise::test::samples_of(m);
}

bool same(const Rep& a, const Rep& b) {
  return a.start_s == b.start_s && a.peak_s == b.peak_s && a.end_s == b.end_s && a.height_cm == b.height_cm &&
         a.floor_cm == b.floor_cm && a.low == b.low && a.counted == b.counted && a.of_reference == b.of_reference;
}

bool same(const RepSet& a, const RepSet& b) {
  return a.reps.size() == b.reps.size() && a.count == b.count && a.standing_cm == b.standing_cm &&
         a.reference_height_cm == b.reference_height_cm && a.total_height_cm == b.total_height_cm &&
         a.set_end.why == b.set_end.why && a.set_end.t_s == b.set_end.t_s && a.set_end.frame == b.set_end.frame &&
         a.set_end.after_rep == b.set_end.after_rep && a.notes.size() == b.notes.size() &&
         std::equal(a.reps.begin(), a.reps.end(), b.reps.begin(),
                    [](const Rep& x, const Rep& y) { return same(x, y); }) &&
         std::equal(a.count_at.begin(), a.count_at.end(), b.count_at.begin(), b.count_at.end(),
                    [](const auto& x, const auto& y) { return x.fraction == y.fraction && x.count == y.count; });
}

// Standing, 3 to 9 reps of any height and pace, some with a rest after.
Samples any_samples() {
  Movement m;
  m.stay(*rc::gen::inRange(5, 40) / 10.0);
  const int reps = *rc::gen::inRange(3, 10);
  for (int i = 0; i < reps; ++i) {
    m.rep(*rc::gen::inRange(25, 120) / 10.0, *rc::gen::inRange(40, 150) / 100.0, *rc::gen::inRange(40, 150) / 100.0);
    if (*rc::gen::inRange(0, 10) == 0) m.stay(6.5);
  }
  m.stay(*rc::gen::inRange(0, 70) / 10.0);
  return raise::test::samples_of(m);
}

const Rep& any_of(const RepSet& set) { return set.reps[*rc::gen::inRange<std::size_t>(0, set.reps.size())]; }

}  // namespace

TEST(CorrectRaises, WithNothingToCorrectGivesWhatWasFound) {
  EXPECT_TRUE(same(corrected(usual(), {}), raise::test::reps_in(usual())));
}

TEST(CorrectRaises, ARepTakenOutIsNotCountedAndTheRulesAreAskedAnew) {
  const RepSet found = raise::test::reps_in(usual());
  ASSERT_EQ(found.reps.size(), 10U);
  ASSERT_EQ(found.count, 7);
  const RepSet first_out = corrected(usual(), test::all({test::take_out_rep(found.reps[0].peak_s)}));
  EXPECT_EQ(first_out.count, 6);
  EXPECT_EQ(first_out.set_end.after_rep, 8);
  EXPECT_NEAR(*first_out.reference_height_cm, (9.95 + 9.90 + 9.85) / 3, 0.02) << "made from the next three";
  const RepSet low_out = corrected(usual(), test::all({test::take_out_rep(found.reps[8].peak_s)}));
  EXPECT_EQ(low_out.count, 8) << "one low rep ends nothing, and the last one counts again";
  EXPECT_EQ(low_out.set_end.why, raise::EndWhy::clip_end);
}

TEST(CorrectRaises, AHoleOfFiveSecondsIsAPause) {
  const RepSet found = raise::test::reps_in(usual());
  const RepSet set =
      corrected(usual(), test::all({test::take_out_rep(found.reps[4].peak_s), test::take_out_rep(found.reps[5].peak_s),
                                    test::take_out_rep(found.reps[6].peak_s)}));
  EXPECT_EQ(set.set_end.why, raise::EndWhy::pause);
  EXPECT_EQ(set.set_end.after_rep, 4);
  EXPECT_EQ(set.count, 4);
}

TEST(CorrectRaises, ARepIsPutInWithTheHeightOfThePath) {
  Movement m;
  m.stay(2).rep(10).rep(10).rep(10).rep(1.2).rep(10).stay(1);  // the fourth is under the least rise
  const Samples samples = raise::test::samples_of(m);
  ASSERT_EQ(raise::test::reps_in(samples).reps.size(), 4U);
  const RepSet set = corrected(samples, test::all({test::put_in_rep(8.1, 9.0, 9.9)}));
  ASSERT_EQ(set.reps.size(), 5U);
  EXPECT_NEAR(set.reps[3].height_cm, 1.2, 0.01);
  EXPECT_TRUE(set.reps[3].by_hand.put_in);
  EXPECT_TRUE(set.reps[3].low);
  EXPECT_EQ(set.count, 4);
  EXPECT_EQ(set.reps[4].n, 5);
}

TEST(CorrectRaises, AMovedPeakHasThePathsHeightThere) {
  const RepSet found = raise::test::reps_in(usual());
  const double earlier_s = found.reps[3].peak_s - 0.5;
  const RepSet set = corrected(usual(), test::all({test::move_rep(found.reps[3].peak_s, {}, earlier_s, {})}));
  EXPECT_NEAR(set.reps[3].height_cm, 9.85 / 2, 0.1) << "half-way up a raised cosine";
  EXPECT_TRUE(set.reps[3].low);
  EXPECT_EQ(set.reps[3].by_hand.address_s, found.reps[3].peak_s);
  EXPECT_EQ(set.reps[2].height_cm, found.reps[2].height_cm);
}

TEST(CorrectRaises, APersonMaySayWhenTheSetEnded) {
  const RepSet found = raise::test::reps_in(usual());
  const RepSet set = corrected(usual(), test::all({test::set_end_at(found.reps[4].end_s)}));
  EXPECT_EQ(set.set_end.why, raise::EndWhy::by_hand);
  EXPECT_EQ(set.set_end.after_rep, 5);
  EXPECT_EQ(set.count, 5);
  for (const raise::CountAt& at : set.count_at) EXPECT_EQ(at.count, 5) << at.fraction;
  const RepSet later = corrected(usual(), test::all({test::set_end_at(found.reps[9].end_s)}));
  EXPECT_EQ(later.count, 8) << "past the two low ones, which stay uncounted";
}

TEST(CorrectRaises, WhatCannotBeIsRefusedByItsNumber) {
  const RepSet found = raise::test::reps_in(usual());
  EXPECT_EQ(refusal(usual(), test::all({test::take_out_rep(1.0)})),
            "correction 1 (take-out): no rep has its peak at 1.00 s");
  const Correction out = test::take_out_rep(found.reps[2].peak_s);
  EXPECT_NE(refusal(usual(), test::all({out, out})).find("correction 2 (take-out): no rep"), std::string::npos);
  EXPECT_NE(refusal(usual(), test::all({test::put_in_rep(900, 901, 902)})).find("nothing is known"), std::string::npos);
  EXPECT_NE(refusal(usual(), test::all({test::set_end_at(900)})).find("outside the trace"), std::string::npos);
  const Rep& rep = found.reps[4];
  EXPECT_NE(refusal(usual(), test::all({test::move_rep(rep.peak_s, rep.peak_s + 0.1, {}, {})})).find("must start"),
            std::string::npos);
  EXPECT_NE(refusal(usual(), test::all({test::put_in_rep(rep.peak_s - 0.1, rep.peak_s + 0.05, rep.peak_s + 0.2)}))
                .find("overlap"),
            std::string::npos);
}

RC_GTEST_PROP(CorrectRaisesLaws, TakenOutAndPutInAgainCountsTheSame, ()) {
  const Samples samples = any_samples();
  const RepSet found = raise::test::reps_in(samples);
  RC_PRE(!found.reps.empty());
  const Rep rep = any_of(found);
  const RepSet again = corrected(
      samples, test::all({test::take_out_rep(rep.peak_s), test::put_in_rep(rep.start_s, rep.peak_s, rep.end_s)}));
  RC_ASSERT(again.reps.size() == found.reps.size());
  const Rep& put = again.reps[static_cast<std::size_t>(rep.n - 1)];
  RC_ASSERT(std::abs(put.height_cm - rep.height_cm) < 0.02 * std::max(1.0, rep.height_cm));
  // A height just at a limit may fall to its other side, for the path's height is not the fitted top's.
  for (const double fraction : {0.5, 0.75, 0.9}) {
    for (const Rep& one : found.reps) RC_PRE(std::abs(*one.of_reference - fraction) > 0.03);
  }
  RC_ASSERT(again.count == found.count);
  RC_ASSERT(again.set_end.after_rep == found.set_end.after_rep);
}

RC_GTEST_PROP(CorrectRaisesLaws, MovingAnInstantChangesOnlyWhatDependsOnIt, ()) {
  const Samples samples = any_samples();
  const RepSet found = raise::test::reps_in(samples);
  RC_PRE(!found.reps.empty());
  const Rep rep = any_of(found);
  const double start_s = (rep.start_s + rep.peak_s) / 2;  // later, so never into the rep before
  const RepSet set = corrected(samples, test::all({test::move_rep(rep.peak_s, start_s, {}, {})}));
  RC_ASSERT(set.reps.size() == found.reps.size());
  RC_ASSERT(set.reference_height_cm == found.reference_height_cm);
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    const Rep& now = set.reps[i];
    const Rep& before = found.reps[i];
    RC_ASSERT(now.peak_s == before.peak_s);
    RC_ASSERT(now.end_s == before.end_s);
    RC_ASSERT(now.height_cm == before.height_cm);
    RC_ASSERT(now.floor_cm == before.floor_cm);
    RC_ASSERT((now.n == rep.n) == (now.start_s != before.start_s));
  }
}

RC_GTEST_PROP(CorrectRaisesLaws, TheOrderOfIndependentCorrectionsDoesNotMatter, ()) {
  const Samples samples = any_samples();
  const RepSet found = raise::test::reps_in(samples);
  RC_PRE(found.reps.size() >= 3U);
  const Rep& out = found.reps[0];
  const Rep& moved = found.reps[1];
  const Rep& last = found.reps.back();
  const Correction a = test::take_out_rep(out.peak_s);
  const Correction b = test::move_rep(moved.peak_s, (moved.start_s + moved.peak_s) / 2, {}, {});
  const Correction c = test::set_end_at((last.peak_s + last.end_s) / 2);
  const RepSet one = corrected(samples, test::all({a, b, c}));
  RC_ASSERT(same(one, corrected(samples, test::all({c, b, a}))));
  RC_ASSERT(same(one, corrected(samples, test::all({b, a, c}))));
}

RC_GTEST_PROP(CorrectRaisesLaws, SayingWhatIsSoChangesNoCount, ()) {
  const Samples samples = any_samples();
  const RepSet found = raise::test::reps_in(samples);
  RC_PRE(!found.reps.empty());
  const Rep rep = any_of(found);
  const RepSet set = corrected(samples, test::all({test::move_rep(rep.peak_s, rep.start_s, {}, rep.end_s)}));
  RC_ASSERT(set.count == found.count);
  RC_ASSERT(set.set_end.why == found.set_end.why);
  RC_ASSERT(set.set_end.t_s == found.set_end.t_s);
}

}  // namespace risetrace::review
