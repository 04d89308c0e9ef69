// Laws that hold for any run of hops.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "hop/judge_hops.h"
#include "made_hops.h"

namespace risetrace::hop {
namespace {

using test::Plan;
using test::protocol;

struct Filmed {
  Contacts contacts;
  beat::Beats beats;
};

// Over the whole range from the first case on: rapidcheck's own ranges begin small.
int any(int from, int to) { return *rc::gen::resize(rc::kNominalSize, rc::gen::inRange(from, to)); }

// Never on whole or half milliseconds: there one time in some thousands stands exactly at a rule's limit (the very end
// of a step, one and a half intervals, a digit of a sentence), where rounding decides, and no law must hang on that.
double any_s(int from_ms, int to_ms) { return (any(from_ms * 100'000, to_ms * 100'000) + 0.37) * 1e-8; }

// Standing, 1 to 30 hops of any times, now and then a pause, a double touch, a doubtful or a missed landing.
Filmed any_hops() {
  Plan plan;
  const int hops = any(1, 31);
  for (int i = 0; i < hops; ++i) {
    const int kind = any(0, 20);
    if (kind == 19) plan.hop(any_s(800, 2000), 0.15);
    if (kind == 18) plan.hop(0.05, 0.15).hop(0.2, 0.02);
    plan.hop(any_s(200, 330), any_s(80, 250));
  }
  Filmed out{contacts_of(plan), {}};
  auto& all = out.contacts.contacts;
  for (std::size_t i = 1; i < all.size(); ++i) {
    const int fate = any(0, 25);
    all[i].doubtful = fate == 24;
    if (fate == 23) all[i].takeoff.reset();
    if (fate == 22) all[i].touchdown->witness = Witness::forefoot_sticker;
  }
  const double bpm = any(100, 180);
  out.beats = test::steady_beat(bpm, any_s(0, 3000), any(4, 40));
  return out;
}

bool near(const std::optional<double>& a, const std::optional<double>& b, double scale = 1, double allowed = 1e-6) {
  if (a.has_value() != b.has_value()) return false;
  return !a || std::abs(*a * scale - *b) <= allowed * std::max(1.0, std::abs(*b));
}

Contacts moved(Contacts contacts, double scale, double shift_s) {
  contacts.common_u_s *= scale;
  for (Contact& contact : contacts.contacts) {
    for (auto* instant : {&contact.touchdown, &contact.takeoff}) {
      if (!*instant) continue;
      (*instant)->time_s = (*instant)->time_s * scale + shift_s;
      (*instant)->time_s_u *= scale;
    }
  }
  return contacts;
}

beat::Beats moved(beat::Beats beats, double scale, double shift_s) {
  if (beats.bpm) *beats.bpm /= scale;
  for (beat::BeatStep& step : beats.steps) {
    step.bpm /= scale;
    for (double* t : {&step.first_s, &step.from_s, &step.to_s}) *t = *t * scale + shift_s;
  }
  return beats;
}

const HopQuestion heavy{std::nullopt, 70.0, std::nullopt, true};

RC_GTEST_PROP(HopLaws, ALaterClockChangesNothingButInstants, ()) {
  const Filmed filmed = any_hops();
  const HopSet before = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  const HopSet after = judge_hops(moved(filmed.contacts, 1, 512), moved(filmed.beats, 1, 512), heavy, protocol());
  RC_ASSERT(before.hops.size() == after.hops.size());
  RC_ASSERT(before.count == after.count);
  for (std::size_t i = 0; i < before.hops.size(); ++i) {
    const Hop& a = before.hops[i];
    const Hop& b = after.hops[i];
    RC_ASSERT(a.counted == b.counted && a.standing == b.standing && a.why_not == b.why_not);
    RC_ASSERT(near(a.touchdown_s + 512, b.touchdown_s));
    RC_ASSERT(near(a.contact_ms, b.contact_ms) && near(a.flight_ms, b.flight_ms) && near(a.rsi, b.rsi));
    RC_ASSERT(near(a.stiffness_kn_m, b.stiffness_kn_m));
  }
  RC_ASSERT(near(before.contact_ms, after.contact_ms) && near(before.contact_ms_u, after.contact_ms_u));
  RC_ASSERT(before.steps.size() == after.steps.size());
  for (std::size_t i = 0; i < before.steps.size(); ++i) {
    RC_ASSERT(before.steps[i].hops == after.steps[i].hops && before.steps[i].kept == after.steps[i].kept);
    RC_ASSERT(near(before.steps[i].phase_lock, after.steps[i].phase_lock));
    RC_ASSERT(near(before.steps[i].hop_rate_hz, after.steps[i].hop_rate_hz));
  }
  RC_ASSERT(before.notes.size() == after.notes.size());
}

// Everything s times as slow, the beat and the rules' times too: milliseconds times s, heights s^2, rsi s.
RC_GTEST_PROP(HopLaws, ScaledTimes, ()) {
  const Filmed filmed = any_hops();
  const double s = *rc::gen::element(0.5, 2.0, 4.0);
  auto rules = protocol();
  for (double* ms : {&rules.least_contact_ms, &rules.greatest_contact_ms, &rules.least_flight_ms,
                     &rules.greatest_flight_ms, &rules.sound_offset_limit_ms, &rules.thud_disagrees_ms}) {
    *ms *= s;
  }
  rules.stiffness_flag_under_per_min /= s;
  rules.slow_under_per_min /= s;
  const HopSet before = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  const HopSet after = judge_hops(moved(filmed.contacts, s, 0), moved(filmed.beats, s, 0), heavy, rules);
  RC_ASSERT(before.hops.size() == after.hops.size() && before.count == after.count);
  RC_ASSERT(near(before.contact_ms, after.contact_ms, s) && near(before.flight_ms, after.flight_ms, s));
  RC_ASSERT(near(before.contact_ms_u, after.contact_ms_u, s));
  RC_ASSERT(near(before.height_cm, after.height_cm, s * s) && near(before.rsi, after.rsi, s));
  RC_ASSERT(near(before.stiffness_kn_m, after.stiffness_kn_m, 1 / (s * s)));
  RC_ASSERT(near(before.hop_rate_hz, after.hop_rate_hz, 1 / s));
  for (std::size_t i = 0; i < before.steps.size(); ++i) {
    RC_ASSERT(before.steps[i].kept == after.steps[i].kept);
    RC_ASSERT(near(before.steps[i].phase_lock, after.steps[i].phase_lock));
  }
}

RC_GTEST_PROP(HopLaws, WithoutTheMassOnlyStiffnessGoes, ()) {
  const Filmed filmed = any_hops();
  const HopSet with = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  const HopSet without = judge_hops(filmed.contacts, filmed.beats, {}, protocol());
  RC_ASSERT(with.count == without.count);
  RC_ASSERT(with.contact_ms == without.contact_ms && with.flight_ms == without.flight_ms && with.rsi == without.rsi);
  RC_ASSERT(with.height_cm == without.height_cm && with.contact_ms_u == without.contact_ms_u);
  RC_ASSERT(!without.stiffness_kn_m);
  RC_ASSERT(with.stiffness_kn_m.has_value() == (with.count > 0));
  for (std::size_t i = 0; i < with.hops.size(); ++i) {
    RC_ASSERT(!without.hops[i].stiffness_kn_m);
    RC_ASSERT(with.hops[i].counted == without.hops[i].counted && with.hops[i].rsi == without.hops[i].rsi);
  }
}

// What comes later never renumbers or retimes what was before.
RC_GTEST_PROP(HopLaws, LaterHopsLeaveEarlierOnesTheirNumbersAndTimes, ()) {
  const Filmed filmed = any_hops();
  Contacts fewer = filmed.contacts;
  fewer.contacts.resize(static_cast<std::size_t>(any(1, static_cast<int>(fewer.contacts.size()) + 1)));
  const HopSet some = judge_hops(fewer, filmed.beats, heavy, protocol());
  const HopSet all = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  RC_ASSERT(some.hops.size() <= all.hops.size());
  for (std::size_t i = 0; i < some.hops.size(); ++i) {
    RC_ASSERT(some.hops[i].n == all.hops[i].n && some.hops[i].n == static_cast<int>(i) + 1);
    RC_ASSERT(some.hops[i].touchdown_s == all.hops[i].touchdown_s);
    RC_ASSERT(some.hops[i].contact_ms == all.hops[i].contact_ms && some.hops[i].flight_ms == all.hops[i].flight_ms);
  }
}

RC_GTEST_PROP(HopLaws, WhatIsSaidHangsTogether, ()) {
  const Filmed filmed = any_hops();
  const HopSet set = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  int counted = 0;
  for (std::size_t i = 0; i < set.hops.size(); ++i) {
    const Hop& hop = set.hops[i];
    counted += hop.counted ? 1 : 0;
    RC_ASSERT(hop.counted == hop.why_not.empty());
    if (hop.counted) RC_ASSERT(hop.standing == Standing::steady && hop.contact_ms && hop.flight_ms && hop.rsi);
    if (hop.contact_ms) RC_ASSERT(near(hop.touchdown_s + *hop.contact_ms / 1000, *hop.takeoff_s));
    if (hop.contact_ms && i + 1 < set.hops.size() && set.hops[i + 1].flight_ms) {
      RC_ASSERT(near(*hop.contact_ms + *set.hops[i + 1].flight_ms, hop.period_ms));
    }
  }
  RC_ASSERT(counted == set.count);
  RC_ASSERT(set.contact_ms.has_value() == (counted > 0) && set.contact_ms_u.has_value() == (counted > 0));
  for (const Step& step : set.steps) {
    if (step.phase_lock) RC_ASSERT(*step.phase_lock >= 0 && *step.phase_lock <= 1);
    if (step.phase_p) RC_ASSERT(*step.phase_p >= 0 && *step.phase_p <= 1);
    RC_ASSERT(step.hops <= static_cast<int>(set.hops.size()));
    if (step.kept) RC_ASSERT(step.hops >= 6 && std::abs(*step.rate_error_pct) <= 4 && *step.phase_lock >= 0.8);
  }
}

// When a doubtful landing's foot left is of no weight for any other hop but the next, which is doubtful here as well.
RC_GTEST_PROP(HopLaws, ADoubtfulLandingsTimesDoNotMatter, ()) {
  Filmed filmed = any_hops();
  auto& all = filmed.contacts.contacts;
  const auto contact_of = [&](std::size_t i) { return all[i].takeoff->time_s - all[i].touchdown->time_s; };
  std::vector<std::size_t> able;  // no pauses: after one the first are left out again
  for (std::size_t i = 1; i < all.size(); ++i) {
    if (all[i].takeoff && contact_of(i) < 0.33) able.push_back(i);
  }
  if (able.empty()) return;
  const std::size_t which = able[static_cast<std::size_t>(any(0, static_cast<int>(able.size())))];
  const double contact_s = contact_of(which);
  all[which].doubtful = true;
  if (which + 1 < all.size()) all[which + 1].doubtful = true;
  const HopSet before = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  all[which].takeoff->time_s = all[which].touchdown->time_s + any(300, 1000) / 1000.0 * contact_s;
  const HopSet after = judge_hops(filmed.contacts, filmed.beats, heavy, protocol());
  RC_ASSERT(before.count == after.count);
  RC_ASSERT(before.contact_ms == after.contact_ms && before.flight_ms == after.flight_ms && before.rsi == after.rsi);
  for (std::size_t i = 0; i < before.hops.size(); ++i) {
    RC_ASSERT(before.hops[i].counted == after.hops[i].counted && before.hops[i].standing == after.hops[i].standing);
  }
}

}  // namespace
}  // namespace risetrace::hop
