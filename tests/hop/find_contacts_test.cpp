// What is a flight, what is a contact, and which events stay empty.
#include "hop/find_contacts.h"

#include <gtest/gtest.h>

#include <cmath>

#include "made_clearance.h"
#include "math/statistics.h"

namespace risetrace::hop {
namespace {

using test::MadeClip;

Contacts found(const sole::Clearance& clearance, double px_per_cm = 10) {
  ContactOptions options;
  options.px_per_cm = px_per_cm;
  return find_contacts(clearance, options);
}

// Not seen between the two times.
sole::Clearance hidden(sole::Clearance clearance, double from_s, double to_s) {
  for (auto& s : clearance.samples) {
    if (s.time_s > from_s && s.time_s < to_s) s.seen = false;
  }
  return clearance;
}

// Only what was filmed from the one time to the other; frames are numbered anew, time is not.
sole::Clearance cut(const sole::Clearance& clearance, double from_s, double to_s) {
  sole::Clearance out = clearance;
  std::erase_if(out.samples, [&](const auto& s) { return s.time_s < from_s || s.time_s > to_s; });
  return out;
}

// Alike two hops of 0.2 s: left at 0.5, 0.9, 1.3 s, landed at 0.7, 1.1, 1.5 s.
MadeClip two_hops() {
  MadeClip clip;
  clip.hops = {{0.2, 0.2}, {0.2, 0.2}};
  clip.phase_s = 0.0011;
  return clip;
}

TEST(FindContacts, WhatLiesBetweenFlightsIsAContact) {
  const auto contacts = found(clearance_of(two_hops())).contacts;
  ASSERT_EQ(contacts.size(), 4U);
  EXPECT_FALSE(contacts[0].touchdown);
  EXPECT_FALSE(contacts[3].takeoff);
  for (std::size_t i = 0; i < 3; ++i) {
    const double left_s = 0.5 + 0.4 * static_cast<double>(i);
    ASSERT_TRUE(contacts[i].takeoff && contacts[i + 1].touchdown);
    EXPECT_NEAR(contacts[i].takeoff->time_s, left_s, 0.0015);
    EXPECT_NEAR(contacts[i + 1].touchdown->time_s, left_s + 0.2, 0.0008);
    EXPECT_FALSE(contacts[i].doubtful);
  }
}

// A shoe that bends over its toe: the front, followed as stiff, seems to sink by 12 mm within the last 30 ms on the
// ground and is that much too low for a while. The toe leaves at the bottom, not where the clearance is back at
// nothing.
TEST(FindContacts, ATakeoffIsAtTheBottomOfARoll) {
  for (const double fps : {60.0, 120.0, 240.0}) {
    MadeClip clip = two_hops();
    clip.fps = fps;
    sole::Clearance rolled = clearance_of(clip);
    for (auto& s : rolled.samples) {
      for (const double left_s : {0.5, 0.9, 1.3}) {
        const double after_s = s.time_s - left_s;
        if (after_s > -0.03 && after_s <= 0) s.up_px -= 12 * (1 + after_s / 0.03);
        if (after_s > 0 && after_s < 0.1) s.up_px -= 12 * (1 - after_s / 0.1);
      }
    }
    const auto contacts = found(rolled).contacts;
    ASSERT_EQ(contacts.size(), 4U) << fps;
    for (std::size_t i = 0; i < 3; ++i) {
      ASSERT_TRUE(contacts[i].takeoff && contacts[i + 1].touchdown);
      EXPECT_NEAR(contacts[i].takeoff->time_s, 0.5 + 0.4 * static_cast<double>(i), 0.4 / fps + 0.001) << fps;
      EXPECT_NEAR(contacts[i + 1].touchdown->time_s, 0.7 + 0.4 * static_cast<double>(i), 0.002) << fps;
    }
  }
}

// The shoe taken for lying on the floor for 50 or 70 ms after it has left, or before it lands; then it is seen high up.
TEST(FindContacts, AnEventAtWhichTheShoeWasLostIsUnvouched) {
  for (const double fps : {60.0, 120.0, 240.0}) {
    for (const double lost_s : {0.05, 0.07}) {
      MadeClip clip = two_hops();
      clip.fps = fps;
      sole::Clearance lost = clearance_of(clip);
      for (auto& s : lost.samples) {
        const bool leaving = s.time_s > 0.9 && s.time_s < 0.9 + lost_s;
        const bool landing = s.time_s > 1.5 - lost_s && s.time_s < 1.5;
        if (leaving || landing) s.up_px = 0.3;
      }
      const auto contacts = found(lost).contacts;
      ASSERT_EQ(contacts.size(), 4U) << fps;
      EXPECT_FALSE(contacts[0].takeoff->unvouched);
      EXPECT_FALSE(contacts[1].touchdown->unvouched);
      EXPECT_TRUE(contacts[1].takeoff->unvouched) << fps << " " << lost_s;
      EXPECT_FALSE(contacts[2].touchdown->unvouched);
      EXPECT_FALSE(contacts[2].takeoff->unvouched);
      EXPECT_TRUE(contacts[3].touchdown->unvouched) << fps << " " << lost_s;
    }
  }
}

// The first frame off the ground, the first frame in contact: those whose instants are not before the event's.
TEST(FindContacts, FramesAreTheFirstAfterTheEvent) {
  const sole::Clearance clearance = clearance_of(two_hops());
  for (const Contact& contact : found(clearance).contacts) {
    for (const auto& instant : {contact.touchdown, contact.takeoff}) {
      if (!instant) continue;
      const auto at = static_cast<std::size_t>(instant->frame);
      EXPECT_GE(clearance.samples[at].time_s, instant->time_s);
      EXPECT_LT(clearance.samples[at - 1].time_s, instant->time_s);
    }
  }
}

TEST(FindContacts, FramesKeepTheirNumbersWhereTheSoleWasSeenLate) {
  const sole::Clearance whole = clearance_of(two_hops());
  const auto all = found(whole).contacts;
  const auto late = found(cut(whole, 0.2, 5)).contacts;
  ASSERT_EQ(late.size(), all.size());
  EXPECT_EQ(late[1].touchdown->frame, all[1].touchdown->frame);
}

TEST(FindContacts, OneHop) {
  MadeClip clip = two_hops();
  clip.hops = {};
  const auto contacts = found(clearance_of(clip)).contacts;
  ASSERT_EQ(contacts.size(), 2U);
  EXPECT_TRUE(contacts[0].takeoff);
  EXPECT_TRUE(contacts[1].touchdown);
  EXPECT_FALSE(contacts[0].touchdown || contacts[1].takeoff);
}

TEST(FindContacts, ClipThatBeginsAndEndsInTheAir) {
  const auto contacts = found(cut(clearance_of(two_hops()), 0.58, 1.4)).contacts;
  ASSERT_EQ(contacts.size(), 4U);
  EXPECT_FALSE(contacts[0].takeoff) << "left before the clip began";
  EXPECT_NEAR(contacts[1].touchdown->time_s, 0.7, 0.0008);
  EXPECT_NEAR(contacts[2].takeoff->time_s, 1.3, 0.0015);
  EXPECT_FALSE(contacts[3].touchdown) << "landed after it ended";
}

TEST(FindContacts, NothingLeavesTheFloor) {
  MadeClip clip = two_hops();
  clip.noise_px = 0.3;
  EXPECT_TRUE(found(cut(clearance_of(clip), 0, 0.49)).contacts.empty());
  EXPECT_TRUE(found({}).contacts.empty());
  sole::Clearance unseen = clearance_of(clip);
  for (auto& s : unseen.samples) s.seen = false;
  EXPECT_TRUE(found(unseen).contacts.empty());
  // A sole that gives and springs back is not off the floor.
  sole::Clearance giving = cut(clearance_of(clip), 0, 0.49);
  for (auto& s : giving.samples) s.up_px += -3 + 3 * std::sin(20 * s.time_s);
  EXPECT_TRUE(found(giving).contacts.empty());
}

TEST(FindContacts, HiddenEventsStayEmptyAndTheOthersDoNot) {
  const sole::Clearance whole = clearance_of(two_hops());
  const auto all = found(whole).contacts;
  auto contacts = found(hidden(whole, 0.68, 0.72)).contacts;  // the first landing
  ASSERT_EQ(contacts.size(), 4U);
  EXPECT_FALSE(contacts[1].touchdown);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(contacts[i].takeoff->time_s, all[i].takeoff->time_s, 0.0008) << i;
  }
  contacts = found(hidden(whole, 0.88, 0.92)).contacts;  // the second take-off
  ASSERT_EQ(contacts.size(), 4U);
  EXPECT_FALSE(contacts[1].takeoff);
  EXPECT_TRUE(contacts[1].touchdown && contacts[2].touchdown && contacts[2].takeoff);
}

TEST(FindContacts, OneOrTwoFramesHiddenAtAnEventAreBridged) {
  const sole::Clearance whole = clearance_of(two_hops());
  const auto contacts = found(hidden(whole, 0.6975, 0.7055)).contacts;
  ASSERT_EQ(contacts.size(), 4U);
  ASSERT_TRUE(contacts[1].touchdown);
  EXPECT_NEAR(contacts[1].touchdown->time_s, 0.7, 0.0015);
}

TEST(FindContacts, AFlightWhoseTopIsOutOfSightIsOneFlight) {
  const auto contacts = found(hidden(clearance_of(two_hops()), 0.96, 1.04)).contacts;
  ASSERT_EQ(contacts.size(), 4U);
  EXPECT_NEAR(contacts[1].takeoff->time_s, 0.9, 0.0015);
  EXPECT_NEAR(contacts[2].touchdown->time_s, 1.1, 0.0010);
}

TEST(FindContacts, AContactOutOfSightLeavesNeitherEvent) {
  const auto contacts = found(hidden(clearance_of(two_hops()), 0.65, 0.95)).contacts;
  // What happened there is not known; the events outside are.
  EXPECT_NEAR(contacts.front().takeoff->time_s, 0.5, 0.0015);
  EXPECT_NEAR(contacts[contacts.size() - 2].takeoff->time_s, 1.3, 0.0015);
  for (const Contact& contact : contacts) {
    for (const auto& instant : {contact.touchdown, contact.takeoff}) {
      EXPECT_TRUE(!instant || instant->time_s < 0.66 || instant->time_s > 0.94);
    }
  }
}

TEST(FindContacts, WithoutAScaleTheTimesAreNearlyAsGood) {
  const sole::Clearance clearance = clearance_of(two_hops());
  const auto contacts = find_contacts(clearance, {}).contacts;
  ASSERT_EQ(contacts.size(), 4U);
  for (std::size_t i = 0; i < 3; ++i) {
    const double left_s = 0.5 + 0.4 * static_cast<double>(i);
    EXPECT_NEAR(contacts[i].takeoff->time_s, left_s, 0.002);
    EXPECT_NEAR(contacts[i + 1].touchdown->time_s, left_s + 0.2, 0.001);
  }
}

// The ball lies behind the toe tip: what its sticker says of a take-off is less sure, of a landing it is not.
TEST(FindContacts, TheForefootsStickerIsLessSureOfATakeoff) {
  const sole::Clearance clearance = clearance_of(two_hops());
  ContactOptions options;
  options.px_per_cm = 10;
  const auto by_sole = find_contacts(clearance, options).contacts;
  options.witness = Witness::forefoot_sticker;
  const auto by_ball = find_contacts(clearance, options).contacts;
  ASSERT_EQ(by_ball.size(), by_sole.size());
  EXPECT_EQ(by_ball[1].takeoff->witness, Witness::forefoot_sticker);
  EXPECT_GE(by_ball[1].takeoff->time_s_u, 0.008);
  EXPECT_LT(by_sole[1].takeoff->time_s_u, 0.004);
  EXPECT_DOUBLE_EQ(by_ball[1].touchdown->time_s_u, by_sole[1].touchdown->time_s_u);
  EXPECT_DOUBLE_EQ(by_ball[1].takeoff->time_s, by_sole[1].takeoff->time_s);
}

// The bend of the flights in units of g: a clock that runs k times too slow shows 1/k^2 (derived here).
TEST(GravitySeen, TellsATrueClockFromAStretchedOne) {
  for (const double slow : {1.0, 2.0, 4.0, 8.0}) {
    MadeClip clip = test::uneven_hops(8, 3);
    clip.slow_motion = slow;
    const sole::Clearance clearance = clearance_of(clip);
    const Contacts contacts = found(clearance);
    const std::vector<double> seen = gravities_seen(clearance, contacts, 10);
    ASSERT_EQ(seen.size(), clip.hops.size() + 1) << slow;
    for (const double gravity : seen) EXPECT_NEAR(gravity * slow * slow, 1, 0.08) << slow;
    EXPECT_NEAR(math::median(seen) * slow * slow, 1, 0.05) << slow;
  }
}

TEST(GravitySeen, OfWholeFlightsOnly) {
  MadeClip clip = two_hops();
  clip.hops.pop_back();
  const sole::Clearance two = clearance_of(clip);
  EXPECT_EQ(gravities_seen(two, found(two), 10).size(), 2U);
  const sole::Clearance one = cut(two, 0, 1.0);
  EXPECT_EQ(gravities_seen(one, found(one), 10).size(), 1U);
  EXPECT_TRUE(gravities_seen({}, {}, 10).empty());
}

}  // namespace
}  // namespace risetrace::hop
