#include "review/correct_hops.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "hop/judge_hops.h"
#include "hop/made_hops.h"
#include "review/made_corrections.h"

namespace risetrace::review {
namespace {

using hop::Contacts;
using hop::HopSet;
using hop::test::rate_hz;

std::vector<FrameTime> frames(double seconds = 20) {
  std::vector<FrameTime> out;
  for (int i = 0; i < seconds * rate_hz; ++i) out.push_back({i, i / rate_hz});
  return out;
}

Contacts twelve() { return hop::test::contacts_of(hop::test::Plan{}.hop(0.25, 0.15, 12)); }

HopSet judged(const Contacts& contacts) { return hop::judge_hops(contacts, {}, {}, hop::test::protocol()); }

Contacts corrected(const Contacts& found, const Corrections& corrections) {
  const auto contacts = correct_hops(found, frames(), corrections);
  EXPECT_TRUE(contacts.ok()) << (contacts ? "" : contacts.error().why);
  return contacts ? *contacts : Contacts{};
}

std::string refusal(const Corrections& corrections) {
  const auto contacts = correct_hops(twelve(), frames(), corrections);
  EXPECT_FALSE(contacts.ok());
  return contacts ? "" : contacts.error().why;
}

std::int64_t touchdown_of(const Contacts& contacts, std::size_t hop) {
  return contacts.contacts[hop].touchdown->frame;  // the first contact is the standing before
}

}  // namespace

TEST(CorrectHops, ALandingTakenOutIsListedNotCountedAndItsNeighboursKeepTheirTimes) {
  const HopSet before = judged(twelve());
  const HopSet set = judged(corrected(twelve(), test::all({test::of_hop(What::take_out, touchdown_of(twelve(), 6))})));
  ASSERT_EQ(set.hops.size(), before.hops.size());
  EXPECT_EQ(set.count, before.count - 1);
  EXPECT_FALSE(set.hops[5].counted);
  EXPECT_EQ(set.hops[5].by_hand, hop::HandWork::taken_out);
  EXPECT_EQ(set.hops[5].why_not, "taken out by hand: seen in the clip");
  EXPECT_EQ(set.hops[6].flight_ms, before.hops[6].flight_ms);
}

TEST(CorrectHops, WhereThereWasNoLandingTheTwoFlightsAreOne) {
  Contacts found = hop::test::contacts_of(
      hop::test::Plan{}.hop(0.25, 0.15, 5).hop(0.02, 0.06).hop(0.25, 0.07, 1).hop(0.25, 0.15, 5));
  const HopSet set = judged(corrected(found, test::all({test::of_hop(What::no_landing, touchdown_of(found, 6))})));
  EXPECT_EQ(set.hops.size(), 11U);
  EXPECT_NEAR(*set.hops[5].flight_ms, 150, 1e-6);
  EXPECT_TRUE(set.hops[5].counted);
}

TEST(CorrectHops, APointedOutFrameLiesHalfWayToTheOneBefore) {
  const std::int64_t frame = touchdown_of(twelve(), 4);
  const Contacts moved = corrected(twelve(), test::all({test::of_hop(What::move, frame, frame + 3)}));
  const hop::Instant& instant = *moved.contacts[4].touchdown;
  EXPECT_EQ(instant.frame, frame + 3);
  EXPECT_NEAR(instant.time_s, (static_cast<double>(frame) + 2.5) / rate_hz, 1e-12);
  EXPECT_NEAR(instant.time_s_u, 1 / rate_hz / std::sqrt(12.0), 1e-12) << "rectangular, half a frame to either side";
  EXPECT_EQ(moved.contacts[4].address_frame, frame);
  const HopSet before = judged(twelve());
  const HopSet after = judged(moved);
  EXPECT_LT(*after.hops[3].contact_ms, *before.hops[3].contact_ms);
  EXPECT_GT(*after.hops[3].flight_ms, *before.hops[3].flight_ms);
  for (const std::size_t other : {2U, 4U, 8U}) EXPECT_EQ(after.hops[other].contact_ms, before.hops[other].contact_ms);
}

// Only the take-off after it was seen: the landing put in is that contact's, with that take-off or the person's own.
TEST(CorrectHops, ALandingThatWasNotSeenIsPutIn) {
  Contacts found = twelve();
  const hop::Instant landed = *found.contacts[5].touchdown;
  const hop::Instant left = *found.contacts[5].takeoff;
  found.contacts[5].touchdown.reset();
  const auto noted = [](const HopSet& set) {
    return std::any_of(set.notes.begin(), set.notes.end(), [](const Note& n) { return n.code == "landing-unseen"; });
  };
  EXPECT_TRUE(noted(judged(found)));
  for (const bool own : {false, true}) {
    const std::optional<std::int64_t> until = own ? std::optional(left.frame + 1) : std::nullopt;
    const HopSet set = judged(corrected(found, test::all({test::of_hop(What::put_in, 0, landed.frame, until)})));
    EXPECT_EQ(set.hops.size(), 12U) << own;
    EXPECT_FALSE(noted(set)) << own;
    EXPECT_NEAR(*set.hops[4].contact_ms, 1000 * (left.time_s - landed.time_s), own ? 12 : 6);
  }
}

TEST(CorrectHops, WhatAPersonHasSeenIsDoubtfulNoMore) {
  Contacts found = twelve();
  found.contacts[5].doubtful = true;
  found.contacts[5].why = "the picture stood still";
  const std::int64_t landed = touchdown_of(found, 5);
  const std::int64_t left = found.contacts[5].takeoff->frame;
  EXPECT_TRUE(corrected(found, test::all({test::of_hop(What::move, landed, landed)})).contacts[5].doubtful);
  EXPECT_FALSE(corrected(found, test::all({test::of_hop(What::move, landed, landed, left)})).contacts[5].doubtful);
}

TEST(CorrectHops, WhatCannotBeIsRefusedByItsNumber) {
  EXPECT_EQ(refusal(test::all({test::of_hop(What::take_out, 7)})),
            "correction 1 (take-out): no landing was found in frame 7");
  const std::int64_t frame = touchdown_of(twelve(), 4);
  EXPECT_NE(refusal(test::all({test::of_hop(What::move, frame, 999999)})).find("nothing is known of frame"),
            std::string::npos);
  EXPECT_NE(refusal(test::all({test::of_hop(What::move, frame, {}, frame - 10)})).find("must come after"),
            std::string::npos);
  EXPECT_NE(refusal(test::all({test::of_hop(What::put_in, 0, frame + 2, frame + 20)})).find("overlap"),
            std::string::npos);
}

RC_GTEST_PROP(CorrectHopsLaws, TakenOutAndPutInAgainCountsTheSame, ()) {
  const auto which = *rc::gen::inRange<std::size_t>(1, 12);
  const Contacts found = twelve();
  const auto& contact = found.contacts[which];
  const HopSet before = judged(found);
  const HopSet again = judged(
      corrected(found, test::all({test::of_hop(What::take_out, contact.touchdown->frame),
                                  test::of_hop(What::put_in, 0, contact.touchdown->frame, contact.takeoff->frame)})));
  RC_ASSERT(again.hops.size() == before.hops.size());
  RC_ASSERT(again.count == before.count);
}

RC_GTEST_PROP(CorrectHopsLaws, TheOrderOfIndependentCorrectionsDoesNotMatter, ()) {
  const Contacts found = twelve();
  const auto shift = *rc::gen::inRange<std::int64_t>(-4, 5);
  const std::int64_t moved = touchdown_of(found, 9);
  const Correction a = test::of_hop(What::take_out, touchdown_of(found, 3));
  const Correction b = test::of_hop(What::move, moved, moved + shift);
  const Correction c = test::of_hop(What::no_landing, touchdown_of(found, 6));
  const auto times = [&](const Corrections& corrections) {
    std::vector<std::optional<double>> out;
    const HopSet set = judged(corrected(found, corrections));
    for (const hop::Hop& hop : set.hops) {
      out.push_back(hop.contact_ms);
      out.push_back(hop.flight_ms);
      out.push_back(hop.counted ? 1.0 : 0.0);
    }
    return out;
  };
  RC_ASSERT(times(test::all({a, b, c})) == times(test::all({c, b, a})));
  RC_ASSERT(times(test::all({a, b, c})) == times(test::all({b, c, a})));
}

}  // namespace risetrace::review
