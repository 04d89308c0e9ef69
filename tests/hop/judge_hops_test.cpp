#include "hop/judge_hops.h"

#include <gtest/gtest.h>

#include "hop/recoil.h"
#include "made_hops.h"

namespace risetrace::hop {
namespace {

using test::contacts_of;
using test::ending_on_the_ground;
using test::noted;
using test::Plan;

const beat::Beats no_sound;

HopSet judged(const Contacts& contacts, const HopQuestion& question = {}) {
  return judge_hops(contacts, no_sound, question, test::protocol());
}

TEST(JudgeHops, TenEvenHopsOfWhichSevenCount) {
  const HopSet set = judged(contacts_of(Plan().hop(0.25, 0.15, 10)), {std::nullopt, 70.0, std::nullopt, true});
  ASSERT_EQ(set.hops.size(), 10U);
  EXPECT_EQ(set.count, 7);
  for (const Hop& hop : set.hops) {
    EXPECT_EQ(hop.counted, hop.n > 3) << hop.n;
    EXPECT_NEAR(*hop.contact_ms, 250, 1e-9);
    EXPECT_NEAR(*hop.flight_ms, 150, 1e-9);
    EXPECT_EQ(hop.period_ms.has_value(), hop.n < 10);
  }
  EXPECT_EQ(set.hops[2].why_not, "one of the first 3");
  EXPECT_NEAR(*set.contact_ms, 250, 1e-9);
  EXPECT_NEAR(*set.flight_ms, 150, 1e-9);
  EXPECT_NEAR(*set.hop_rate_hz, 2.5, 1e-12);
  EXPECT_NEAR(*set.height_cm, 100 * 9.80665 * 0.0225 / 8, 1e-9);
  EXPECT_NEAR(*set.rsi, 9.80665 * 0.0225 / 8 / 0.25, 1e-9);
  EXPECT_NEAR(*set.stiffness_kn_m, stiffness_n_per_m(70, 0.25, 0.15) / 1000, 1e-9);
  EXPECT_EQ(set.contact_from, "sole");
  EXPECT_FALSE(noted(set.notes, "few-hops-counted"));
  EXPECT_FALSE(noted(set.notes, "stiffness-slow-rate"));
}

TEST(JudgeHops, FewerThanWantedIsSaid) {
  const HopSet set = judged(contacts_of(Plan().hop(0.25, 0.15, 9)));
  EXPECT_EQ(set.count, 6);
  EXPECT_TRUE(noted(set.notes, "few-hops-counted"));
  const HopSet none = judged(contacts_of(Plan().hop(0.25, 0.15, 3)));
  EXPECT_EQ(none.count, 0);
  EXPECT_FALSE(none.contact_ms || none.flight_ms || none.hop_rate_hz || none.height_cm || none.rsi ||
               none.contact_ms_u);
  EXPECT_TRUE(noted(none.notes, "few-hops-counted"));
  EXPECT_TRUE(noted(judged({}).notes, "no-hops"));
}

// Walking on the spot, about 55 double steps a minute with the foot down for 60 % of each (common practice).
TEST(JudgeHops, SoSlowThatTheyMayBeStepsIsSaid) {
  EXPECT_TRUE(noted(judged(contacts_of(Plan().hop(0.66, 0.44, 10))).notes, "hops-may-be-steps"));
  EXPECT_FALSE(noted(judged(contacts_of(Plan().hop(0.45, 0.35, 10))).notes, "hops-may-be-steps"));
  EXPECT_FALSE(noted(judged(contacts_of(Plan().hop(0.66, 0.44, 3))).notes, "hops-may-be-steps")) << "none is counted";
}

TEST(JudgeHops, EndsOfTheClip) {
  // Ends on the ground: the landing is listed, its time on the ground is not known.
  const HopSet ends = judged(ending_on_the_ground(Plan().hop(0.25, 0.15, 11)));
  ASSERT_EQ(ends.hops.size(), 11U);
  EXPECT_FALSE(ends.hops.back().counted);
  EXPECT_FALSE(ends.hops.back().contact_ms || ends.hops.back().takeoff_s);
  EXPECT_EQ(ends.hops.back().standing, Standing::steady);
  EXPECT_EQ(ends.hops.back().why_not, "its take-off was not seen");
  EXPECT_EQ(ends.count, 7);
  // Begins in the air: the first flight is not known.
  Contacts begins = contacts_of(Plan().hop(0.25, 0.15, 11));
  begins.contacts.erase(begins.contacts.begin());
  const HopSet set = judged(begins);
  ASSERT_EQ(set.hops.size(), 11U);
  EXPECT_FALSE(set.hops.front().flight_ms || set.hops.front().height_cm || set.hops.front().rsi);
  EXPECT_TRUE(set.hops.front().contact_ms.has_value());
  // Begins on the ground in the middle of a hop: no landing, no hop.
  begins.contacts.front().touchdown.reset();
  EXPECT_EQ(judged(begins).hops.size(), 10U);
}

TEST(JudgeHops, ADoubleTouchIsNoHop) {
  Plan plan = Plan().hop(0.25, 0.15, 6).hop(0.06, 0.15).hop(0.16, 0.02).hop(0.25, 0.15, 6);
  const HopSet set = judged(contacts_of(plan));
  ASSERT_EQ(set.hops.size(), 14U);
  EXPECT_EQ(set.count, 3 + 6);
  EXPECT_FALSE(set.hops[6].counted);
  EXPECT_FALSE(set.hops[7].counted);
  EXPECT_EQ(set.hops[6].standing, Standing::no_hop);
  EXPECT_EQ(set.hops[7].standing, Standing::no_hop);
  EXPECT_NEAR(*set.contact_ms, 250, 1e-9);
  int times = 0;
  for (const Note& note : set.notes) {
    if (note.code != "not-a-hop") continue;
    EXPECT_NEAR(*note.t_s, set.hops[6 + times].touchdown_s, 1e-12);
    ++times;
  }
  EXPECT_EQ(times, 2);
}

// Longer than the bounds of a hop by themselves, but short beside the hops about it.
TEST(JudgeHops, ADoubleTouchWithinTheBoundsIsSeenBesideItsNeighbours) {
  const HopSet set = judged(contacts_of(Plan().hop(0.26, 0.16, 8).hop(0.10, 0.16).hop(0.12, 0.05).hop(0.26, 0.16, 8)));
  EXPECT_EQ(set.hops[8].standing, Standing::no_hop);
  EXPECT_EQ(set.hops[9].standing, Standing::no_hop);
  EXPECT_EQ(set.count, 5 + 8);
}

TEST(JudgeHops, AfterAPauseTheFirstAreLeftOutAgain) {
  const HopSet set = judged(contacts_of(Plan().hop(0.25, 0.15, 6).hop(1.2, 0.15).hop(0.25, 0.15, 6)));
  EXPECT_EQ(set.hops[6].standing, Standing::no_hop);
  for (int i = 7; i < 10; ++i) {
    EXPECT_EQ(set.hops[i].standing, Standing::early);
    EXPECT_EQ(set.hops[i].why_not, "one of the first 3 after a pause");
  }
  EXPECT_EQ(set.count, 6);
}

TEST(JudgeHops, AMissedLandingTakesOneFlightOnly) {
  Contacts contacts = contacts_of(Plan().hop(0.25, 0.15, 12));
  contacts.contacts.erase(contacts.contacts.begin() + 7);
  const HopSet set = judged(contacts);
  ASSERT_EQ(set.hops.size(), 11U);
  EXPECT_EQ(set.count, 7);
  EXPECT_FALSE(set.hops[6].counted);
  EXPECT_EQ(set.hops[6].standing, Standing::steady);
  EXPECT_NEAR(*set.hop_rate_hz, 2.5, 1e-12);
  EXPECT_TRUE(noted(set.notes, "not-a-hop"));
}

TEST(JudgeHops, ADoubtfulLandingKeepsItsReason) {
  Contacts contacts = contacts_of(Plan().hop(0.25, 0.15, 12));
  contacts.contacts[6].doubtful = true;
  contacts.contacts[6].why = "the other foot came down";
  const HopSet set = judged(contacts);
  EXPECT_EQ(set.count, 8);
  EXPECT_EQ(set.hops[5].why_not, "the other foot came down");
  EXPECT_TRUE(noted(set.notes, "landing-doubtful"));
}

// The first hops may be small or long on the ground without being taken for something else.
TEST(JudgeHops, AWeakBeginningIsStillTheBeginning) {
  const HopSet set = judged(contacts_of(Plan().hop(0.45, 0.06).hop(0.4, 0.1).hop(0.3, 0.12).hop(0.22, 0.18, 7)));
  for (int i = 0; i < 3; ++i) EXPECT_EQ(set.hops[i].why_not, "one of the first 3") << i;
  EXPECT_EQ(set.count, 7);
}

TEST(JudgeHops, NoMassNoStiffness) {
  const HopSet set = judged(contacts_of(Plan().hop(0.25, 0.15, 10)));
  EXPECT_FALSE(set.stiffness_kn_m.has_value());
  for (const Hop& hop : set.hops) EXPECT_FALSE(hop.stiffness_kn_m.has_value());
  EXPECT_TRUE(set.rsi && set.height_cm);
}

TEST(JudgeHops, SlowHopsAreNoSpring) {
  const HopQuestion with_mass{std::nullopt, 70.0, std::nullopt, true};
  const HopSet slow = judged(contacts_of(Plan().hop(0.30, 0.16, 10)), with_mass);  // 130.4 per minute
  EXPECT_TRUE(slow.stiffness_kn_m && noted(slow.notes, "stiffness-slow-rate"));
  const HopSet quick = judged(contacts_of(Plan().hop(0.29, 0.16, 10)), with_mass);  // 133.3 per minute
  EXPECT_TRUE(quick.stiffness_kn_m && !noted(quick.notes, "stiffness-slow-rate"));
}

// A ladder with its landings heard 30 ms late: steps, the lowest kept, the sound's offset, and what mixes beats is
// noted.
TEST(JudgeHops, ALadderFromEndToEnd) {
  Plan plan;
  beat::Beats beats;
  beats.sound_there = true;
  double t = plan.start_s + 0.15;
  for (const double bpm : {150.0, 140.0, 130.0}) {
    const double period_s = 60 / bpm;
    beats.steps.push_back(test::step_of(bpm, t + 0.03, 16));
    plan.hop(period_s - 0.15, 0.15, 16);
    t += 16 * period_s;
  }
  const Contacts contacts = contacts_of(plan);
  for (std::size_t i = 1; i < contacts.contacts.size(); ++i) {
    if (i % 5 != 0) beats.thuds.push_back({contacts.contacts[i].touchdown->time_s + 0.03, 20});
  }
  const HopSet set = judge_hops(contacts, beats, {150.0, 70.0, std::nullopt, true}, test::protocol());
  ASSERT_EQ(set.steps.size(), 3U);
  for (const Step& step : set.steps) EXPECT_TRUE(step.kept) << step.beat_bpm;
  EXPECT_EQ(set.steps[0].hops, 13);
  EXPECT_EQ(set.steps[1].hops, 14);
  EXPECT_NEAR(*set.steps[2].contact_ms, 60000.0 / 130 - 150, 1e-6);
  EXPECT_DOUBLE_EQ(*set.lowest_kept_bpm, 130);
  EXPECT_NEAR(*set.sound_offset_ms, 30, 1e-6);
  EXPECT_FALSE(set.heard_bpm.has_value()) << "no one steady beat";
  EXPECT_TRUE(noted(set.notes, "stiffness-mixes-beats"));
  EXPECT_TRUE(noted(set.notes, "stiffness-slow-rate"));
  EXPECT_EQ(set.count, 45);
}

TEST(JudgeHops, WithoutSightOfTheGroundHopsAreCountedButNotTimed) {
  Contacts contacts = contacts_of(Plan().hop(0.25, 0.15, 10));
  contacts.times_known = false;
  for (Contact& contact : contacts.contacts) {
    if (contact.touchdown) contact.touchdown->witness = Witness::heel_sticker;
    contact.takeoff.reset();
  }
  const HopSet set = judge_hops(contacts, test::steady_beat(150, 1.15, 10), {std::nullopt, 70.0, std::nullopt, true},
                                test::protocol());
  ASSERT_EQ(set.hops.size(), 10U);
  EXPECT_EQ(set.count, 7);
  for (const Hop& hop : set.hops) {
    EXPECT_FALSE(hop.contact_ms || hop.contact_ms_u || hop.flight_ms || hop.flight_ms_u || hop.period_ms ||
                 hop.height_cm || hop.rsi || hop.stiffness_kn_m);
  }
  EXPECT_FALSE(set.contact_ms || set.contact_ms_u || set.flight_ms || set.height_cm || set.rsi || set.stiffness_kn_m);
  EXPECT_EQ(set.contact_from, "");
  EXPECT_TRUE(noted(set.notes, "ground-time-not-known"));
  ASSERT_EQ(set.steps.size(), 1U);
  EXPECT_TRUE(set.steps[0].kept);
  EXPECT_NEAR(*set.hop_rate_hz, 2.5, 1e-12);
}

TEST(JudgeHops, AStretchedClockGivesNoMillisecondsAndNoRate) {
  const HopSet set = judge_hops(contacts_of(Plan().hop(2.0, 1.2, 10)), test::steady_beat(150, 1.15, 80),
                                {150.0, 70.0, std::nullopt, false}, test::protocol());
  EXPECT_EQ(set.count, 7);
  for (const Hop& hop : set.hops) EXPECT_FALSE(hop.contact_ms || hop.flight_ms || hop.period_ms || hop.height_cm);
  EXPECT_FALSE(set.contact_ms || set.flight_ms || set.hop_rate_hz || set.rsi || set.lowest_kept_bpm || set.heard_bpm);
  EXPECT_TRUE(set.steps.empty());
}

TEST(JudgeHops, TheLeastSureWitnessIsNamed) {
  Contacts contacts = contacts_of(Plan().hop(0.25, 0.15, 10));
  contacts.contacts[5].takeoff->witness = Witness::forefoot_sticker;
  EXPECT_EQ(judged(contacts).contact_from, "forefoot-sticker");
  // A heel's instant gives no time on the ground.
  contacts.contacts[5].takeoff->witness = Witness::heel_sticker;
  const HopSet set = judged(contacts);
  EXPECT_FALSE(set.hops[4].contact_ms.has_value());
  EXPECT_FALSE(set.hops[5].flight_ms.has_value());
  EXPECT_EQ(set.count, 5);
}

}  // namespace
}  // namespace risetrace::hop
