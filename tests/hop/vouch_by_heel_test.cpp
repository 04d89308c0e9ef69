// Each event held against where the heel was at the others.
#include "hop/vouch_by_heel.h"

#include <gtest/gtest.h>

#include <cmath>

#include "hop/find_contacts.h"
#include "hop/list_hops.h"
#include "made_clearance.h"
#include "made_heel.h"

namespace risetrace::hop {
namespace {

struct Seen {
  test::MadeClip clip;
  test::MadeEvents truth;
  sticker::Track heel;
  Contacts contacts;
};

Seen ten_hops(double fps = 240, unsigned seed = 9) {
  Seen seen;
  seen.clip = test::uneven_hops(10, seed);
  seen.clip.fps = fps;
  seen.truth = events_of(seen.clip);
  seen.heel = test::heel_of(seen.clip);
  ContactOptions options;
  options.px_per_cm = seen.clip.px_per_cm;
  seen.contacts = find_contacts(clearance_of(seen.clip), options);
  return seen;
}

void vouch(Seen& seen) { vouch_by_heel(seen.contacts, seen.heel, seen.clip.px_per_cm); }

TEST(VouchByHeel, LeavesEventsThatFitAsTheyAre) {
  for (const double fps : {30.0, 60.0, 120.0, 240.0}) {
    for (unsigned seed = 1; seed <= 10; ++seed) {
      Seen seen = ten_hops(fps, seed);
      const Contacts before = seen.contacts;
      vouch(seen);
      EXPECT_TRUE(seen.contacts.notes.empty()) << fps << " " << seed;
      ASSERT_EQ(seen.contacts.contacts.size(), before.contacts.size());
      for (std::size_t i = 0; i < before.contacts.size(); ++i) {
        for (const auto event : {&Contact::touchdown, &Contact::takeoff}) {
          const auto& was = before.contacts[i].*event;
          const auto& is = seen.contacts.contacts[i].*event;
          ASSERT_EQ(is.has_value(), was.has_value());
          if (is) {
            EXPECT_EQ(is->time_s, was->time_s);
            EXPECT_EQ(is->witness, Witness::sole);
          }
        }
      }
    }
  }
}

TEST(VouchByHeel, AnEventFarFromTheHeelsMomentGivesNoTimes) {
  for (const double off_s : {-0.06, 0.05}) {
    Seen seen = ten_hops();
    Contact& bad = seen.contacts.contacts[5];
    const double said_s = bad.takeoff->time_s += off_s;
    vouch(seen);
    EXPECT_EQ(bad.takeoff->witness, Witness::heel_sticker) << off_s;
    EXPECT_NEAR(bad.takeoff->time_s, seen.truth.takeoffs_s[5], 2 * bad.takeoff->time_s_u);
    EXPECT_GE(bad.takeoff->time_s_u, 0.015);
    ASSERT_EQ(seen.contacts.notes.size(), 1U);
    EXPECT_EQ(seen.contacts.notes[0].code, "shoe-mistaken");
    EXPECT_DOUBLE_EQ(*seen.contacts.notes[0].t_s, said_s);
    const std::vector<Hop> hops = list_hops(seen.contacts);
    EXPECT_FALSE(hops[4].contact_ms) << "the contact before that take-off";
    EXPECT_TRUE(hops[4].flight_ms);
    EXPECT_FALSE(hops[5].flight_ms) << "the flight after it";
    EXPECT_TRUE(hops[5].contact_ms);
    EXPECT_TRUE(hops[4].period_ms);
  }
}

TEST(VouchByHeel, StandsInForWhatWasHidden) {
  Seen seen = ten_hops();
  seen.contacts.contacts[4].touchdown.reset();
  seen.contacts.contacts[7].takeoff.reset();
  vouch(seen);
  const auto& landed = seen.contacts.contacts[4].touchdown;
  const auto& left = seen.contacts.contacts[7].takeoff;
  ASSERT_TRUE(landed && left);
  EXPECT_EQ(landed->witness, Witness::heel_sticker);
  EXPECT_NEAR(landed->time_s, seen.truth.touchdowns_s[3], 2 * landed->time_s_u);
  EXPECT_NEAR(left->time_s, seen.truth.takeoffs_s[7], 2 * left->time_s_u);
  EXPECT_EQ(list_hops(seen.contacts).size(), 11U) << "no landing is lost from the list";
}

TEST(VouchByHeel, VouchesForAnEventAboutWhichTheShoeWasLost) {
  Seen seen = ten_hops();
  seen.contacts.contacts[3].takeoff->unvouched = true;
  seen.contacts.contacts[6].takeoff->unvouched = true;
  seen.contacts.contacts[6].takeoff->time_s += 0.022;  // of another it would be believed
  seen.contacts.contacts[8].takeoff->time_s += 0.022;
  Seen blind = seen;
  vouch(seen);
  EXPECT_FALSE(seen.contacts.contacts[3].takeoff->unvouched);
  EXPECT_EQ(seen.contacts.contacts[3].takeoff->witness, Witness::sole);
  EXPECT_FALSE(seen.contacts.contacts[3].doubtful);
  EXPECT_EQ(seen.contacts.contacts[6].takeoff->witness, Witness::heel_sticker);
  EXPECT_EQ(seen.contacts.contacts[8].takeoff->witness, Witness::sole);
  for (auto& s : blind.heel.samples) s.seen = false;
  vouch(blind);
  EXPECT_TRUE(blind.contacts.contacts[3].doubtful);
  EXPECT_EQ(blind.contacts.contacts[3].why, "the shoe was lost from sight about its take-off");
  EXPECT_FALSE(blind.contacts.contacts[4].doubtful);
}

TEST(VouchByHeel, NoContactInTheAir) {
  Seen seen = ten_hops();
  auto& contacts = seen.contacts.contacts;
  const double top_s = (contacts[4].takeoff->time_s + contacts[5].touchdown->time_s) / 2;
  Contact ghost;
  ghost.touchdown = Instant{top_s, 0.002, 0, Witness::sole};
  ghost.takeoff = Instant{top_s - 0.005, 0.002, 0, Witness::sole};  // an unsure fit may come out so
  const std::size_t true_ones = contacts.size();
  contacts.insert(contacts.begin() + 5, ghost);
  vouch(seen);
  EXPECT_EQ(contacts.size(), true_ones);
}

// A form that scatters leaves more to the events: what is 40 ms off among others that are 15 off is nothing special.
TEST(VouchByHeel, IsAsStrictAsTheHopsAreEven) {
  for (const double scatter_s : {0.0, 0.015}) {
    Seen seen = ten_hops();
    auto& contacts = seen.contacts.contacts;
    for (std::size_t i = 0; i < 11; ++i) contacts[i].takeoff->time_s += i % 2 == 0 ? scatter_s : -scatter_s;
    contacts[5].takeoff->time_s = seen.truth.takeoffs_s[5] + 0.04;
    vouch(seen);
    EXPECT_EQ(contacts[5].takeoff->witness, scatter_s > 0 ? Witness::sole : Witness::heel_sticker) << scatter_s;
  }
}

// The camera sinks by 4 cm while the hops go on: slowly, and so the hops next to each still tell.
TEST(VouchByHeel, ACameraThatDriftsHidesNoContact) {
  Seen seen = ten_hops();
  const double end_s = seen.heel.samples.back().time_s;
  for (auto& s : seen.heel.samples) s.px.y += 4 * seen.clip.px_per_cm * s.time_s / end_s;
  const std::size_t before = seen.contacts.contacts.size();
  vouch(seen);
  EXPECT_EQ(seen.contacts.contacts.size(), before);
  EXPECT_TRUE(seen.contacts.notes.empty());
}

// The shoe was seen to leave while the heel stood 3 cm lower than it ever leaves, and nowhere near rose.
TEST(VouchByHeel, AnEventWithTheHeelFarOffIsNone) {
  Seen seen = ten_hops();
  Contact& bad = seen.contacts.contacts[5];
  bad.takeoff->time_s = (bad.touchdown->time_s + bad.takeoff->time_s) / 2;
  for (auto& s : seen.heel.samples) {
    if (std::abs(s.time_s - bad.takeoff->time_s) < 0.2) s.px.y = 500;
  }
  vouch(seen);
  EXPECT_FALSE(bad.takeoff && bad.takeoff->witness == Witness::sole);
  ASSERT_EQ(seen.contacts.notes.size(), 1U);
}

// A heel that is seen in one frame of four says nothing, and takes nothing away.
TEST(VouchByHeel, AHeelSeenRarelySaysNothing) {
  Seen seen = ten_hops();
  for (auto& s : seen.heel.samples) s.seen = s.frame % 4 == 0;
  seen.contacts.contacts[5].takeoff->time_s += 0.05;
  vouch(seen);
  EXPECT_EQ(seen.contacts.contacts[5].takeoff->witness, Witness::sole);
  EXPECT_TRUE(seen.contacts.notes.empty());
}

TEST(VouchByHeel, NoContactIsShorterThanNothing) {
  Seen seen = ten_hops();
  auto& contacts = seen.contacts.contacts;
  contacts[5].takeoff->time_s = contacts[5].touchdown->time_s - 0.01;
  for (auto& s : seen.heel.samples) s.seen = false;
  vouch(seen);
  EXPECT_FALSE(contacts[5].takeoff);
  for (const Hop& hop : list_hops(seen.contacts)) EXPECT_GT(hop.contact_ms.value_or(1), 0);
}

TEST(VouchByHeel, TwoHopsTellNothingOfEachOther) {
  Seen seen = ten_hops();
  seen.contacts.contacts.resize(3);
  seen.contacts.contacts[1].takeoff->time_s += 0.05;
  vouch(seen);
  EXPECT_EQ(seen.contacts.contacts[1].takeoff->witness, Witness::sole);
  EXPECT_TRUE(seen.contacts.notes.empty());
}

}  // namespace
}  // namespace risetrace::hop
