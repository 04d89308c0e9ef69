// Contacts from the stickers: the forefoot's as if it were the sole, the heel's for want of anything better.
#include "hop/witness.h"

#include <gtest/gtest.h>

#include <cmath>

#include "hop/find_contacts.h"
#include "made_clearance.h"
#include "made_heel.h"

namespace risetrace::hop {
namespace {

sticker::Track track_of(const sole::Clearance& clearance, double rest_row_px, double share = 1) {
  sticker::Track track;
  track.noise_px = 0.1;
  for (const auto& s : clearance.samples) {
    track.samples.push_back({s.frame, s.time_s, {300, rest_row_px - share * s.up_px}, s.seen, false, 1});
  }
  return track;
}

TEST(ForefootAsSole, LiesOnTheFloorWhereItRests) {
  const sole::Clearance made = clearance_of(test::uneven_hops(8, 2));
  const sole::Clearance seen = clearance_of_forefoot(track_of(made, 412.5));
  ASSERT_EQ(seen.samples.size(), made.samples.size());
  EXPECT_NEAR(seen.floor_row_px, 412.5, 0.15);
  for (std::size_t i = 0; i < seen.samples.size(); ++i) {
    EXPECT_NEAR(seen.samples[i].up_px, made.samples[i].up_px, 0.2);
    EXPECT_EQ(seen.samples[i].frame, made.samples[i].frame);
  }
  EXPECT_TRUE(clearance_of_forefoot({}).samples.empty());
}

TEST(StillHeel, NoFlightWithoutIt) {
  const test::MadeClip clip = test::uneven_hops(6, 4);
  const sole::Clearance seen = clearance_of(clip);
  ContactOptions options;
  options.px_per_cm = clip.px_per_cm;
  const Contacts found = find_contacts(seen, options);
  ASSERT_GE(found.contacts.size(), 5U);
  Contacts moved = found;
  join_across_still_heel(moved, track_of(seen, 400), clip.px_per_cm);
  EXPECT_EQ(moved.contacts.size(), found.contacts.size()) << "the heel goes with the foot";
  Contacts unseen = found;
  join_across_still_heel(unseen, {}, clip.px_per_cm);
  EXPECT_EQ(unseen.contacts.size(), found.contacts.size()) << "nothing is known of it";
  // It stands still through the third flight and is shaken by a pixel's noise.
  sticker::Track heel = track_of(seen, 400);
  for (sticker::TrackSample& s : heel.samples) {
    const bool third = s.time_s >= found.contacts[2].takeoff->time_s && s.time_s <= found.contacts[3].touchdown->time_s;
    if (third) s.px.y = 400 + (s.frame % 2 == 0 ? 0.5 : -0.5);
  }
  Contacts hidden = found;
  sticker::Track lost = heel;
  for (sticker::TrackSample& s : lost.samples) s.seen = s.px.y > 400.2;
  join_across_still_heel(hidden, lost, clip.px_per_cm);
  EXPECT_EQ(hidden.contacts.size(), found.contacts.size()) << "seen in half of the frames it may have moved";
  Contacts joined = found;
  join_across_still_heel(joined, heel, clip.px_per_cm);
  ASSERT_EQ(joined.contacts.size(), found.contacts.size() - 1);
  EXPECT_EQ(joined.contacts[2].touchdown->time_s, found.contacts[2].touchdown->time_s);
  EXPECT_EQ(joined.contacts[2].takeoff->time_s, found.contacts[3].takeoff->time_s);
  EXPECT_FALSE(joined.contacts[2].doubtful);
}

TEST(FrozenPicture, ItsContactAndTheLandingAfterItsFlightAreDoubtful) {
  const test::MadeClip clip = test::uneven_hops(8, 4);
  const sole::Clearance seen = clearance_of(clip);
  ContactOptions options;
  options.px_per_cm = clip.px_per_cm;
  const Contacts found = find_contacts(seen, options);
  ASSERT_GE(found.contacts.size(), 7U);
  const auto freeze = [](sticker::Track& heel, double from_s, double to_s) {
    for (auto& s : heel.samples) s.repeated = s.repeated || (s.time_s > from_s && s.time_s < to_s);
  };
  sticker::Track heel = track_of(seen, 400);
  const double on_ground_s = found.contacts[2].touchdown->time_s + 0.03;
  const double in_air_s = found.contacts[4].takeoff->time_s + 0.03;
  freeze(heel, on_ground_s, on_ground_s + 0.05);
  freeze(heel, in_air_s, in_air_s + 0.05);
  Contacts doubted = found;
  doubt_frozen(doubted, heel);
  for (std::size_t i = 0; i < doubted.contacts.size(); ++i) {
    EXPECT_EQ(doubted.contacts[i].doubtful, i == 2 || i == 5) << i;
  }
  EXPECT_EQ(doubted.contacts[2].why.rfind("the picture stood still for 5", 0), 0U) << doubted.contacts[2].why;
  // Pictures cut out of the clip, 60 ms of one contact; 30 ms of another are bridged well enough.
  sticker::Track cut = track_of(seen, 400);
  std::erase_if(cut.samples, [&](const sticker::TrackSample& s) {
    const double other_s = found.contacts[5].touchdown->time_s + 0.03;
    return (s.time_s > on_ground_s && s.time_s < on_ground_s + 0.06) ||
           (s.time_s > other_s && s.time_s < other_s + 0.03);
  });
  Contacts missing = found;
  doubt_frozen(missing, cut);
  for (std::size_t i = 0; i < missing.contacts.size(); ++i) EXPECT_EQ(missing.contacts[i].doubtful, i == 2) << i;
  EXPECT_EQ(missing.contacts[2].why.rfind("there are no pictures for 6", 0), 0U) << missing.contacts[2].why;
  // Every second picture twice, as a low rate is padded to a higher one, is no standstill.
  sticker::Track padded = track_of(seen, 400);
  for (auto& s : padded.samples) s.repeated = s.frame % 2 == 1;
  Contacts kept = found;
  doubt_frozen(kept, padded);
  for (const Contact& contact : kept.contacts) EXPECT_FALSE(contact.doubtful);
}

TEST(ForefootAsSole, GivesTheSameContacts) {
  const test::MadeClip clip = test::uneven_hops(6, 4);
  const test::MadeEvents truth = events_of(clip);
  ContactOptions options;
  options.px_per_cm = clip.px_per_cm;
  options.witness = Witness::forefoot_sticker;
  const auto contacts = find_contacts(clearance_of_forefoot(track_of(clearance_of(clip), 400)), options).contacts;
  ASSERT_EQ(contacts.size(), truth.touchdowns_s.size() + 1);
  for (std::size_t i = 1; i < contacts.size(); ++i) {
    EXPECT_NEAR(contacts[i].touchdown->time_s, truth.touchdowns_s[i - 1], 0.001);
    EXPECT_NEAR(contacts[i - 1].takeoff->time_s, truth.takeoffs_s[i - 1], 0.0015);
  }
}

TEST(HeelAlone, CountsHopsAndTellsTheirRhythmButNoTimesOnTheGround) {
  for (const double fps : {60.0, 240.0}) {
    test::MadeClip clip = test::uneven_hops(10, 9);
    clip.fps = fps;
    const test::MadeEvents truth = events_of(clip);
    const Contacts contacts = contacts_of_heel(test::heel_of(clip), clip.px_per_cm);
    EXPECT_FALSE(contacts.times_known);
    ASSERT_EQ(contacts.contacts.size(), truth.touchdowns_s.size());
    for (std::size_t i = 0; i < contacts.contacts.size(); ++i) {
      ASSERT_TRUE(contacts.contacts[i].touchdown);
      EXPECT_FALSE(contacts.contacts[i].takeoff);
      EXPECT_EQ(contacts.contacts[i].touchdown->witness, Witness::heel_sticker);
      const double error_s = contacts.contacts[i].touchdown->time_s - truth.touchdowns_s[i];
      EXPECT_LT(std::abs(error_s), 2 * contacts.contacts[i].touchdown->time_s_u) << fps << " " << i;
    }
  }
}

TEST(HeelAlone, AStillHeelDoesNotHop) {
  sticker::Track track;
  for (std::int64_t n = 0; n < 400; ++n) {
    track.samples.push_back(
        {n, static_cast<double>(n) / 120, {100, 500 + 3 * std::sin(0.3 * static_cast<double>(n))}, true, false, 1});
  }
  EXPECT_TRUE(contacts_of_heel(track, 10).contacts.empty());
  EXPECT_TRUE(contacts_of_heel({}, 10).contacts.empty());
}

}  // namespace
}  // namespace risetrace::hop
