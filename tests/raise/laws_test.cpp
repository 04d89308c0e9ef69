// Laws that hold for any set of raises.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "filmed_set.h"

namespace risetrace::raise {
namespace {

using test::Movement;
using test::Samples;

// Standing, `least` to 9 reps of any height and pace, some not lowered, some with a rest after, some long rests.
Movement any_movement(int least = 0) {
  Movement m;
  m.stay(*rc::gen::inRange(5, 40) / 10.0);
  const int reps = *rc::gen::inRange(least, 10);
  for (int i = 0; i < reps; ++i) {
    const double height_cm = *rc::gen::inRange(25, 120) / 10.0;
    const double floor_cm = *rc::gen::element(0.0, 0.0, 0.0, 0.8);
    m.rep(height_cm, *rc::gen::inRange(40, 150) / 100.0, *rc::gen::inRange(40, 150) / 100.0, floor_cm);
    const int rest = *rc::gen::inRange(0, 10);
    if (rest > 6) m.stay(*rc::gen::inRange(1, 25) / 10.0);
    if (rest == 5) m.stay(6.5);
  }
  m.stay(*rc::gen::inRange(0, 20) / 10.0);
  return m;
}

void expect_same(const RepSet& a, const RepSet& b, double time_scale, double shift_s, double height_scale) {
  RC_ASSERT(a.reps.size() == b.reps.size());
  RC_ASSERT(a.count == b.count);
  RC_ASSERT(a.set_end.why == b.set_end.why);
  RC_ASSERT(a.set_end.after_rep == b.set_end.after_rep);
  RC_ASSERT(std::abs(a.set_end.t_s * time_scale + shift_s - b.set_end.t_s) < 1e-6);
  RC_ASSERT(a.reference_height_cm.has_value() == b.reference_height_cm.has_value());
  for (std::size_t i = 0; i < a.reps.size(); ++i) {
    const Rep& x = a.reps[i];
    const Rep& y = b.reps[i];
    RC_ASSERT(std::abs(x.start_s * time_scale + shift_s - y.start_s) < 1e-6);
    RC_ASSERT(std::abs(x.peak_s * time_scale + shift_s - y.peak_s) < 1e-6);
    RC_ASSERT(std::abs(x.end_s * time_scale + shift_s - y.end_s) < 1e-6);
    RC_ASSERT(std::abs(x.height_cm * height_scale - y.height_cm) < 1e-6);
    RC_ASSERT(std::abs(x.floor_cm * height_scale - y.floor_cm) < 1e-6);
    RC_ASSERT(x.low == y.low);
    RC_ASSERT(x.lowered == y.lowered);
    RC_ASSERT(x.counted == y.counted);
  }
}

RC_GTEST_PROP(RaiseLaws, ALaterClockMovesTimesOnly, ()) {
  Samples samples = samples_of(any_movement());
  const RepSet before = test::reps_in(samples);
  for (auto& s : samples) s.time_s += 1024;
  expect_same(before, test::reps_in(samples), 1, 1024, 1);
}

RC_GTEST_PROP(RaiseLaws, AHigherCardChangesNothing, ()) {
  Samples samples = samples_of(any_movement());
  const RepSet before = test::reps_in(samples);
  for (auto& s : samples) s.up_cm -= 4.0;
  const RepSet after = test::reps_in(samples);
  expect_same(before, after, 1, 0, 1);
  RC_ASSERT(std::abs(before.standing_cm - 4.0 - after.standing_cm) < 1e-9);
}

RC_GTEST_PROP(RaiseLaws, ScaledHeightsScaleHeightsOnly, ()) {
  Samples samples = samples_of(any_movement());
  const RepSet before = test::reps_in(samples);
  const double scale = *rc::gen::element(0.5, 2.0, 3.0);
  for (auto& s : samples) s.up_cm *= scale;
  auto rules = test::protocol();
  rules.least_rise_cm *= scale;
  expect_same(before, test::reps_in(samples, rules), 1, 0, scale);
}

// Twice as slow, filmed at half the rate, and the pause and the beat as much longer: the same samples further apart.
RC_GTEST_PROP(RaiseLaws, SlowingScalesTimes, ()) {
  Samples samples = samples_of(any_movement(), 120);
  const RepSet before = test::reps_in(samples);
  RC_PRE(before.set_end.why != EndWhy::low_height);  // its instant may rest on a stillness of so many seconds
  for (auto& s : samples) s.time_s *= 1.5;
  auto rules = test::protocol();
  rules.end_pause_s *= 1.5;
  rules.beat_bpm /= 1.5;
  const RepSet after = test::reps_in(samples, rules);
  RC_ASSERT(before.reps.size() == after.reps.size());
  RC_ASSERT(before.count == after.count);
  RC_ASSERT(before.on_beat_share == after.on_beat_share);
  for (std::size_t i = 0; i < before.reps.size(); ++i) {
    RC_ASSERT(std::abs(before.reps[i].start_s * 1.5 - after.reps[i].start_s) < 1e-6);
    RC_ASSERT(std::abs(before.reps[i].peak_s * 1.5 - after.reps[i].peak_s) < 1e-6);
    RC_ASSERT(std::abs(before.reps[i].height_cm - after.reps[i].height_cm) < 1e-6);
  }
}

RC_GTEST_PROP(RaiseLaws, WhatHasEndedStaysEndedAndIsWhatTheResultSays, ()) {
  const Samples samples = samples_of(any_movement());
  RepFinder finder(test::protocol());
  std::optional<SetEnd> first;
  for (const auto& s : samples) {
    finder.push(s);
    const auto now = finder.ended();
    if (first) {
      RC_ASSERT(now.has_value());
      RC_ASSERT(now->t_s == first->t_s);
      RC_ASSERT(now->frame == first->frame);
      RC_ASSERT(now->after_rep == first->after_rep);
      RC_ASSERT(now->last_full_rep == first->last_full_rep);
      RC_ASSERT(now->why == first->why);
    } else if (now) {
      RC_ASSERT(now->t_s <= s.time_s);
      first = now;
    }
  }
  const RepSet set = finder.finish();
  if (!first) return;
  RC_ASSERT(set.set_end.t_s == first->t_s);
  RC_ASSERT(set.set_end.frame == first->frame);
  RC_ASSERT(set.set_end.why == first->why);
  if (first->why == EndWhy::low_height) {
    RC_ASSERT(set.reps[static_cast<std::size_t>(first->after_rep - 1)].end_s == first->t_s);
  }
}

// What is said early is what the rule says later, and never later than it.
RC_GTEST_PROP(RaiseLaws, AnEndThatIsCertainComesAndIsTheSame, ()) {
  RepFinder finder(test::protocol());
  std::optional<SetEnd> early;
  for (const auto& s : samples_of(any_movement())) {
    finder.push(s);
    const auto now = finder.ending();
    RC_ASSERT(!finder.ended() || now.has_value());
    if (now && !early) early = now;
  }
  const RepSet set = finder.finish();
  if (!early) return;
  RC_ASSERT(set.set_end.why == early->why);
  RC_ASSERT(set.set_end.after_rep == early->after_rep);
  RC_ASSERT(set.set_end.last_full_rep == early->last_full_rep);
}

TEST(RaiseLaws, ALowEndIsCertainBeforeTheHeelIsDown) {
  Movement movement;
  movement.stay(1).rep(10).rep(10).rep(10).rep(7).rep(6).stay(2);
  RepFinder finder(test::protocol());
  std::optional<double> certain_s;
  for (const auto& s : samples_of(movement)) {
    finder.push(s);
    if (finder.ending() && !certain_s) certain_s = s.time_s;
  }
  ASSERT_TRUE(certain_s && finder.ended());
  EXPECT_LT(*certain_s, finder.ended()->t_s);
  EXPECT_GT(*certain_s, finder.ended()->t_s - 0.3);
}

RC_GTEST_PROP(RaiseLaws, WhatComesAfterTheEndDoesNotChangeTheCount, ()) {
  Movement movement = any_movement(1);
  movement.stay(7);  // by now it has ended
  for (int more = *rc::gen::inRange(0, 5); more > 0; --more) movement.rep(*rc::gen::inRange(25, 200) / 10.0);
  const Samples samples = samples_of(movement);
  RepFinder finder(test::protocol());
  std::optional<RepSet> at_the_end;
  for (const auto& s : samples) {
    finder.push(s);
    if (finder.ended() && !at_the_end) at_the_end = finder.finish();
  }
  RC_ASSERT(at_the_end.has_value());
  const RepSet later = finder.finish();
  RC_ASSERT(later.count == at_the_end->count);
  RC_ASSERT(later.total_height_cm == at_the_end->total_height_cm);
  RC_ASSERT(later.reference_height_cm == at_the_end->reference_height_cm);
  RC_ASSERT(later.reps.size() >= at_the_end->reps.size());
}

RC_GTEST_PROP(RaiseLaws, TheTableAddsUp, ()) {
  const RepSet set = test::reps_in(any_movement());
  int counted = 0;
  double total_cm = 0;
  double before_s = -1;
  for (const Rep& rep : set.reps) {
    RC_ASSERT(rep.n == &rep - set.reps.data() + 1);
    RC_ASSERT(rep.start_s >= before_s - 1e-9);
    RC_ASSERT(rep.start_s < rep.peak_s);
    RC_ASSERT(rep.peak_s < rep.end_s);
    before_s = rep.end_s;
    counted += rep.counted ? 1 : 0;
    if (rep.counted) total_cm += rep.height_cm;
    RC_ASSERT(!(rep.counted && rep.low));
    RC_ASSERT(!rep.counted || rep.n <= set.set_end.after_rep);
  }
  RC_ASSERT(set.count == counted);
  RC_ASSERT(std::abs(set.total_height_cm.value_or(0) - total_cm) < 1e-9);
  RC_ASSERT(set.count == set.count_at[1].count);  // the protocol's own fraction is 0.75
  RC_ASSERT(set.count_at[0].count >= set.count_at[1].count);
  RC_ASSERT(set.count_at[1].count >= set.count_at[2].count);
}

}  // namespace
}  // namespace risetrace::raise
