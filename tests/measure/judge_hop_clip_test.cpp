// What the flights say about the clock, and whether the shoe left the floor at all.
#include "measure/judge_hop_clip.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "hop/find_contacts.h"
#include "hop/made_clearance.h"
#include "hop/made_heel.h"

namespace risetrace::measure {
namespace {

model::HopProtocol protocol() {
  model::HopProtocol rules;
  rules.greatest_flight_ms = 800;
  return rules;
}

// Ten hops at 240 a second whose clock runs `slow` times too slow, as read from the sole with a card or without.
Measurement filmed(double slow, bool card, clip::FrameRateFrom from = clip::FrameRateFrom::container) {
  hop::test::MadeClip clip = hop::test::uneven_hops(9, 5);
  clip.slow_motion = slow;
  Measurement m;
  m.clearance = clearance_of(clip);
  m.clip.frame_rate_from = from;
  m.clip.frame_rate_hz = clip.fps / slow;
  hop::ContactOptions options;
  if (card) m.scale.px_per_cm = options.px_per_cm = clip.px_per_cm;
  m.contacts = find_contacts(m.clearance, options);
  return m;
}

bool noted(const Measurement& m, const std::string& code) {
  return std::any_of(m.notes.begin(), m.notes.end(), [&](const Note& n) { return n.code == code; });
}

TEST(JudgeClock, ATrueOneIsTrusted) {
  for (const bool card : {true, false}) {
    const ClockVerdict verdict = judge_clock(filmed(1, card), protocol());
    EXPECT_TRUE(verdict.trusted) << card;
    EXPECT_FALSE(verdict.note) << card;
  }
}

// 240 frames a second stored as 120, 60, 30: gravity is 1/4, 1/16, 1/64 of itself (derived here).
TEST(JudgeClock, SlowMotionIsSeenByGravityAndTheRateNamed) {
  for (const double slow : {2.0, 4.0, 8.0}) {
    const ClockVerdict verdict = judge_clock(filmed(slow, true), protocol());
    EXPECT_FALSE(verdict.trusted) << slow;
    ASSERT_TRUE(verdict.note) << slow;
    EXPECT_EQ(verdict.note->code, "clock-stretched");
    EXPECT_NE(verdict.note->text.find("most likely 240, with --capture-fps"), std::string::npos) << verdict.note->text;
  }
}

// The rate named is one at which phones film, and with it the clock is believed.
TEST(JudgeClock, TheLikelyRateIsNamed) {
  for (const double filmed_at : {120.0, 240.0}) {
    hop::test::MadeClip clip = hop::test::uneven_hops(9, 5);
    clip.fps = filmed_at;
    clip.own_bend = -0.25;  // a foot that is drawn up falls more slowly than the body
    clip.slow_motion = filmed_at / 30;
    Measurement m = filmed(1, true);
    m.clearance = clearance_of(clip);
    m.clip.frame_rate_hz = 30;
    hop::ContactOptions options;
    options.px_per_cm = clip.px_per_cm;
    m.contacts = find_contacts(m.clearance, options);
    const ClockVerdict verdict = judge_clock(m, protocol());
    ASSERT_TRUE(verdict.note);
    const std::string likely = "most likely " + std::to_string(std::lround(filmed_at)) + ", with --capture-fps";
    EXPECT_NE(verdict.note->text.find(likely), std::string::npos) << verdict.note->text;
  }
}

// A file at a rate of slow motion is told a higher one, by the heel's rhythm where its fall is seen badly.
TEST(JudgeClock, TheRateNamedIsNotTheFilesOwn) {
  for (const double stored : {120.0, 240.0}) {
    hop::test::MadeClip clip = hop::test::uneven_hops(9, 5);
    clip.fps = 2 * stored;
    clip.own_bend = 0.9;  // of a sole seen badly: about half a g comes out of it
    clip.slow_motion = 2;
    Measurement m = filmed(1, true);
    m.clearance = clearance_of(clip);
    m.clip.frame_rate_hz = stored;
    m.track = hop::test::heel_of(clip);
    for (auto& s : m.track.samples) s.time_s *= clip.slow_motion;
    hop::ContactOptions options;
    options.px_per_cm = clip.px_per_cm;
    m.contacts = find_contacts(m.clearance, options);
    const ClockVerdict verdict = judge_clock(m, protocol());
    ASSERT_TRUE(verdict.note);
    const std::string likely = "most likely " + std::to_string(std::lround(2 * stored)) + ", with --capture-fps";
    EXPECT_NE(verdict.note->text.find(likely), std::string::npos) << verdict.note->text;
  }
}

// Two steps on the way to the place are long in the air and low; a landing that was missed makes one flight of two.
TEST(JudgeClock, StepsAndMissedLandingsAreNoChangeOfSpeed) {
  Measurement m = filmed(1, true);
  m.contacts.contacts.erase(m.contacts.contacts.begin() + 4);
  m.contacts.contacts.erase(m.contacts.contacts.begin() + 5);
  EXPECT_TRUE(judge_clock(m, protocol()).trusted);
  Measurement stepping = filmed(1, true);
  for (std::size_t i = 1; i < 3; ++i) {
    const double from_s = stepping.contacts.contacts[i].takeoff->time_s;
    const double to_s = stepping.contacts.contacts[i + 1].touchdown->time_s;
    for (auto& s : stepping.clearance.samples) {
      if (s.time_s > from_s && s.time_s < to_s) s.up_px *= 0.2;
    }
  }
  EXPECT_TRUE(judge_clock(stepping, protocol()).trusted);
}

// What only the heel tells, or is doubtful, says nothing of gravity.
TEST(JudgeClock, GoesBySureFlightsOnly) {
  Measurement m = filmed(1, true);
  for (std::size_t i = 3; i < 8; ++i) {
    m.contacts.contacts[i].takeoff->time_s += 0.08;
    m.contacts.contacts[i].takeoff->witness = hop::Witness::heel_sticker;
  }
  m.contacts.contacts[9].takeoff->time_s -= 0.1;
  m.contacts.contacts[10].doubtful = true;
  EXPECT_EQ(hop::gravities_seen(m.clearance, m.contacts, *m.scale.px_per_cm).size(), 11U - 5 - 2);
  EXPECT_TRUE(judge_clock(m, protocol()).trusted);
}

TEST(JudgeClock, AHurriedClipIsNotCalledSlowMotion) {
  const ClockVerdict verdict = judge_clock(filmed(0.5, true), protocol());
  EXPECT_FALSE(verdict.trusted);
  ASSERT_TRUE(verdict.note);
  EXPECT_EQ(verdict.note->code, "clock-hurried");
  EXPECT_EQ(verdict.note->text.find("slow motion"), std::string::npos) << verdict.note->text;
}

// A part in slow motion, as phones export it: the clock runs at a quarter from the fifth take-off on, or between two.
TEST(JudgeClock, ASpeedThatChangesWithinTheClipIsSeen) {
  for (const auto& [first, last] : {std::pair<std::size_t, std::size_t>{5, 11}, {3, 7}}) {
    Measurement m = filmed(1, true);
    const double from_s = m.contacts.contacts[first].touchdown->time_s + 0.05;
    const double to_s = last < 11 ? m.contacts.contacts[last].touchdown->time_s + 0.05 : 1e9;
    double now_s = 0;
    double before_s = 0;
    for (auto& s : m.clearance.samples) {
      const double step_s = s.time_s - before_s;
      before_s = s.time_s;
      s.time_s = now_s += step_s * (before_s > from_s && before_s < to_s ? 4 : 1);
    }
    hop::ContactOptions options;
    options.px_per_cm = m.scale.px_per_cm;
    m.contacts = find_contacts(m.clearance, options);
    const ClockVerdict verdict = judge_clock(m, protocol());
    EXPECT_FALSE(verdict.trusted) << first;
    ASSERT_TRUE(verdict.note) << first;
    EXPECT_EQ(verdict.note->code, "clock-changes") << first;
  }
}

TEST(HopNotes, ARateNoCameraFilmsAtIsSaid) {
  for (const double rate : {15.0, 59.94, 118.0, 200.0, 240.0, 66.0, 276.0}) {
    Measurement m = filmed(1, true);
    m.clip.frame_rate_hz = rate;
    add_hop_notes(m);
    EXPECT_EQ(noted(m, "frame-rate-unusual"), rate == 66 || rate == 276) << rate;
  }
}

// Without a scale only a flight longer than anyone's tells: 0.2 s become 1.6.
TEST(JudgeClock, WithoutACardOnlyLongFlightsTell) {
  EXPECT_FALSE(judge_clock(filmed(8, false), protocol()).trusted);
  EXPECT_TRUE(judge_clock(filmed(2, false), protocol()).trusted) << "0.4 s could be a flight";
}

TEST(JudgeClock, AStatedRateThatCannotBeRightIsNotBelieved) {
  for (const auto from : {clip::FrameRateFrom::given, clip::FrameRateFrom::capture_tag}) {
    const ClockVerdict verdict = judge_clock(filmed(4, true, from), protocol());
    EXPECT_FALSE(verdict.trusted);
    ASSERT_TRUE(verdict.note);
    EXPECT_EQ(verdict.note->code, "clock-doubtful");
  }
  EXPECT_FALSE(judge_clock(filmed(0.5, true, clip::FrameRateFrom::given), protocol()).trusted) << "too fast";
}

TEST(SoleStayed, OnlyWhereItWasSeenAndNeverClear) {
  Measurement m = filmed(1, true);
  EXPECT_FALSE(sole_stayed(m)) << "it hops";
  std::erase_if(m.clearance.samples, [](const auto& s) { return s.time_s > 0.45; });
  m.contacts = hop::find_contacts(m.clearance, {});
  EXPECT_TRUE(sole_stayed(m));
  for (auto& s : m.clearance.samples) s.seen = false;
  EXPECT_FALSE(sole_stayed(m)) << "not seen is not known";
}

TEST(HopNotes, SayWhatACarefulPersonWouldWantToKnow) {
  Measurement m = filmed(1, true);
  add_hop_notes(m);
  EXPECT_TRUE(m.notes.empty());
  m.contacts.times_known = false;
  m.clip.frame_rate_hz = 30;
  m.track.frames_repeated = 3;
  add_hop_notes(m);
  for (const char* code : {"frame-rate-low", "frames-repeated"}) EXPECT_TRUE(noted(m, code)) << code;
  EXPECT_FALSE(noted(m, "contact-from-forefoot"));
  m = filmed(1, true);
  m.hops.emplace().contact_from = "forefoot-sticker";
  add_hop_notes(m);
  EXPECT_TRUE(noted(m, "contact-from-forefoot"));
}

}  // namespace
}  // namespace risetrace::measure
