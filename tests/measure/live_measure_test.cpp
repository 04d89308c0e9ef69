// What is told while a set is filmed is what the whole of it says afterwards.
#include "measure/live_measure.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "live_frames.h"

namespace risetrace::measure {
namespace {

const model::Models& models() {
  static const model::Models read = *model::read_models(risetrace::test::source_folder() / "models");
  return read;
}

struct Told {
  std::map<int, raise::Rep> reps;  // as told last
  std::map<int, double> rep_known_s;
  std::vector<LiveSetEnd> ends;
  std::optional<double> end_known_s;  // time of the frame at which it was first said
  std::vector<LiveHeight> heights;
  std::vector<LowWarning> warnings;
  Notes notes;
  std::optional<LiveReady> ready;
  double lag_s = 0.0;
  Result<Measurement> measured{Error{}};

  [[nodiscard]] bool note(const std::string& code) const { return has_note(notes, code); }
};

void take(Told& told, const std::vector<LiveEvent>& events, double now_s) {
  for (const LiveEvent& event : events) {
    if (const auto* rep = std::get_if<LiveRep>(&event)) {
      told.reps[rep->rep.n] = rep->rep;
      told.rep_known_s.try_emplace(rep->rep.n, now_s);
    }
    if (const auto* end = std::get_if<LiveSetEnd>(&event)) {
      told.ends.push_back(*end);
      if (!told.end_known_s) told.end_known_s = now_s;
    }
    if (const auto* height = std::get_if<LiveHeight>(&event)) told.heights.push_back(*height);
    if (const auto* warning = std::get_if<LowWarning>(&event)) told.warnings.push_back(*warning);
    if (const auto* note = std::get_if<Note>(&event)) told.notes.push_back(*note);
    if (const auto* ready = std::get_if<LiveReady>(&event)) told.ready = *ready;
  }
}

Told live(const std::vector<clip::Frame>& frames, double rate_hz, raise::EndWhy why = raise::EndWhy::clip_end) {
  LiveMeasureOptions options;
  options.measure.asked.protocol = models().heel_raise;
  auto measure = LiveMeasure::begin(models().cards, options);
  EXPECT_TRUE(measure);
  Told told;
  for (const clip::Frame& frame : frames) {
    auto events = measure->push(frame);
    EXPECT_TRUE(events) << sentence(events.error());
    take(told, *events, frame.time_s);
  }
  told.lag_s = measure->lag_s();
  take(told, measure->last_words(why), frames.back().time_s);
  clip::ClipFacts facts;
  facts.frames = static_cast<std::int64_t>(frames.size());
  facts.frame_rate_hz = rate_hz;
  told.measured = measure->finish(facts);
  return told;
}

// Each told rep, the count and the end are the whole result's.
void expect_agrees(const Told& told) {
  ASSERT_TRUE(told.measured) << sentence(told.measured.error());
  const raise::RepSet& set = *told.measured->raises;
  ASSERT_EQ(told.reps.size(), set.reps.size());
  int counted = 0;
  for (const raise::Rep& rep : set.reps) {
    const raise::Rep& said = told.reps.at(rep.n);
    ASSERT_TRUE(rep.height_cm_u);
    EXPECT_NEAR(said.height_cm, rep.height_cm, std::min(0.05, *rep.height_cm_u)) << rep.n;
    EXPECT_NEAR(said.start_s, rep.start_s, 0.02) << rep.n;
    EXPECT_NEAR(said.peak_s, rep.peak_s, 0.02) << rep.n;
    EXPECT_NEAR(said.end_s, rep.end_s, 0.02) << rep.n;
    EXPECT_EQ(said.low, rep.low) << rep.n;
    EXPECT_EQ(said.counted, rep.counted) << rep.n;
    if (said.counted) ++counted;
  }
  ASSERT_EQ(told.ends.size(), 2U);
  EXPECT_FALSE(told.ends[0].final);
  EXPECT_TRUE(told.ends[1].final);
  for (const LiveSetEnd& end : told.ends) {
    EXPECT_EQ(end.count, set.count);
    EXPECT_EQ(end.end.after_rep, set.set_end.after_rep);
  }
  EXPECT_EQ(counted, set.count);
  EXPECT_NEAR(told.ends[1].end.t_s, set.set_end.t_s, 0.02);
}

TEST(LiveMeasure, SaysThatTheHeightIsLost) {
  const auto frames = test::filmed(test::small_set({9.5, 9.2, 9.0, 6.0, 5.8, 8.8}, 1.0), models().cards);
  const Told told = live(frames, 30);
  expect_agrees(told);
  EXPECT_EQ(told.ends[0].end.why, raise::EndWhy::low_height);
  EXPECT_EQ(told.ends[0].count, 3);
  ASSERT_EQ(told.warnings.size(), 1U);
  EXPECT_EQ(told.warnings[0].n, 4);
  EXPECT_EQ(told.warnings[0].left, 1);
  // The deciding moment is the rule's own: the page adds the camera's and the recorder's delay to this.
  const double after_s = *told.end_known_s - told.ends[1].end.t_s;
  RecordProperty("end_after_deciding_moment_s", std::to_string(after_s));
  EXPECT_LE(after_s, told.lag_s);
  ASSERT_TRUE(told.ready);
  EXPECT_EQ(told.ready->width_px, 480);
  EXPECT_NEAR(told.ready->frame_rate_hz, 30, 0.2);
}

TEST(LiveMeasure, SaysThatNoRiseFollowed) {
  const auto frames = test::filmed(test::small_set({9.5, 9.2, 9.0}, 6.5), models().cards);
  const Told told = live(frames, 30);
  expect_agrees(told);
  EXPECT_EQ(told.ends[0].end.why, raise::EndWhy::pause);
  EXPECT_LE(*told.end_known_s - told.ends[1].end.t_s, told.lag_s + 1.5 / 30);
  EXPECT_TRUE(told.warnings.empty());
}

TEST(LiveMeasure, ASetThatIsStoppedEndsByHand) {
  const auto frames = test::filmed(test::small_set({9.5, 9.2}, 0.8), models().cards);
  const Told told = live(frames, 30, raise::EndWhy::by_hand);
  expect_agrees(told);
  EXPECT_EQ(told.ends[0].end.why, raise::EndWhy::by_hand);
  EXPECT_EQ(told.ends[0].count, 2);
}

TEST(LiveMeasure, SaysWhatItWaitsForAndTellsTheFirstRepWithItsTrueTime) {
  const auto frames = test::filmed(test::small_set({9.5, 9.2, 9.0}, 0.8), models().cards);
  const Told told = live(frames, 30);
  expect_agrees(told);
  for (const char* code : {"card-seen", "rise-once", "sticker-known"}) EXPECT_TRUE(told.note(code)) << code;
  for (const char* code : {"card-not-seen", "sticker-not-seen", "sticker-hidden", "camera-lost"}) {
    EXPECT_FALSE(told.note(code)) << code;
  }
  EXPECT_NEAR(told.reps.at(1).peak_s, 2.0, 0.05);  // lead-in and the way up
  EXPECT_GT(told.rep_known_s.at(1), told.reps.at(1).end_s);
  EXPECT_LT(told.rep_known_s.at(1), told.reps.at(1).end_s + 1.0);
}

TEST(LiveMeasure, HeightsAreAboveStandingAndComeInOrder) {
  const auto frames = test::filmed(test::small_set({9.5, 9.2, 9.0}, 0.8), models().cards);
  const Told told = live(frames, 30);
  ASSERT_GT(told.heights.size(), 40U);
  double greatest = 0;
  for (std::size_t i = 0; i < told.heights.size(); ++i) {
    EXPECT_GT(told.heights[i].t_s, i > 0 ? told.heights[i - 1].t_s : 0);
    greatest = std::max(greatest, told.heights[i].height_cm);
    EXPECT_GT(told.heights[i].height_cm, -0.3);
  }
  EXPECT_NEAR(greatest, 9.2, 0.15);  // the first rep is over when heights begin
}

TEST(LiveMeasure, NoCardIsSaidWhileItRuns) {
  auto scene = test::small_set({9.5, 9.2}, 0.5);
  scene.cards.clear();
  const Told told = live(test::filmed(scene, models().cards), 30);
  EXPECT_TRUE(told.note("card-not-seen"));
  EXPECT_TRUE(told.reps.empty());
  ASSERT_FALSE(told.measured);
  EXPECT_EQ(told.measured.error().fault, Fault::card_not_found);
}

TEST(LiveMeasure, NoStickerIsSaidWhileItRuns) {
  auto scene = test::small_set({9.5, 9.2}, 0.5);
  scene.stickers.heel.absent = true;
  const Told told = live(test::filmed(scene, models().cards), 30);
  EXPECT_TRUE(told.note("sticker-not-seen"));
  EXPECT_FALSE(told.note("rise-once"));
  ASSERT_FALSE(told.measured);
}

TEST(LiveMeasure, AHiddenStickerIsSaidAndItsReturn) {
  auto scene = test::small_set({9.5, 9.2, 9.0, 8.9}, 0.5);
  scene.hands.push_back({.from_frame = 150, .to_frame = 185});
  const Told told = live(test::filmed(scene, models().cards), 30);
  EXPECT_TRUE(told.note("sticker-hidden"));
  EXPECT_TRUE(told.note("sticker-back"));
  ASSERT_FALSE(told.measured);  // a rep may be missing: as of a file
  EXPECT_EQ(told.measured.error().fault, Fault::sticker_lost);
}

// Every third frame is left out, as where the machine is slow: the set is still the same.
TEST(LiveMeasure, FramesLeftOutChangeNoCount) {
  auto frames = test::filmed(test::small_set({9.5, 9.2, 9.0, 6.0, 5.8}, 1.0), models().cards);
  std::vector<clip::Frame> kept;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (i > 100 && i % 3 == 0) continue;
    kept.push_back(frames[i]);
    kept.back().number = static_cast<std::int64_t>(kept.size()) - 1;
  }
  const Told told = live(kept, 30);
  expect_agrees(told);
  EXPECT_EQ(told.ends[0].count, 3);
}

TEST(LiveMeasure, RefusesWhatCannotBeToldLive) {
  LiveMeasureOptions options;
  options.measure.asked.test = risetrace::Test::hop;
  EXPECT_FALSE(LiveMeasure::begin(models().cards, options));
  options.measure.asked.test = risetrace::Test::heel_raise;
  options.measure.scale.card = scale::CardKind::none;
  EXPECT_FALSE(LiveMeasure::begin(models().cards, options));
  options.measure.scale.px_per_cm = 10;
  EXPECT_TRUE(LiveMeasure::begin(models().cards, options));
}

}  // namespace
}  // namespace risetrace::measure
