#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <sstream>

#include "report/lines.h"
#include "report/sample_hops.h"
#include "report/summary.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using test::code_points;
using test::lines_of;
using testing::HasSubstr;
using testing::Not;

// Lines joined, blanks single: what is said, wherever it is wrapped.
std::string flat(const std::string& text) {
  std::istringstream in(text);
  std::string out;
  for (std::string word; in >> word;) out += word + " ";
  return out;
}

TEST(HopSummary, SaysWhatMatters) {
  const measure::Measurement m = test::sample_hops();
  const std::string text = summary(m, false);
  EXPECT_THAT(text, HasSubstr("25 hops counted of 30, left leg, knee straight: left-hops.mp4"));
  EXPECT_THAT(text, HasSubstr(fixed(m.hops->contact_ms, 0) + " ± 2 ms on the ground (median), from the shoe’s sole"));
  EXPECT_THAT(text, HasSubstr("lowest kept 140 per minute"));
  EXPECT_THAT(text, HasSubstr("1–3 one of the first 3; 14 a double touch; 30 cut off"));
  EXPECT_THAT(text, HasSubstr("RSI "));
  EXPECT_THAT(flat(text), HasSubstr(stiffness_caveat));
  EXPECT_THAT(lines_of(text).back(), HasSubstr("Not a medical device"));
  EXPECT_LT(lines_of(text).size(), 25U);
}

TEST(HopSummary, NoTimesNoMilliseconds) {
  const std::string text = summary(test::sample_hops({.times = false}), false);
  EXPECT_THAT(text, HasSubstr("no time on the ground is known"));
  EXPECT_THAT(text, Not(HasSubstr(" ms")));
  EXPECT_THAT(text, Not(HasSubstr("RSI")));
  EXPECT_THAT(flat(text), HasSubstr("put a sticker on the forefoot"));
}

TEST(HopSummary, WithoutMassThereIsNoStiffness) {
  measure::Measurement m = test::sample_hops();
  m.hops->stiffness_kn_m.reset();
  EXPECT_THAT(summary(m, false), HasSubstr("stiffness not known"));
  EXPECT_THAT(summary(m, false), Not(HasSubstr("kN/m")));
}

TEST(HopSummary, AStepThatWasNotKeptSaysSo) {
  const std::string text = summary(test::sample_hops({.hops = 60, .steps = 6}), false);
  EXPECT_THAT(text, testing::ContainsRegex("120 +10 +120\\.4 +\\+0\\.3 +0\\.91 +[0-9]+ ms +yes"));
  EXPECT_THAT(text, testing::ContainsRegex("110 +10 +116\\.7 +\\+6\\.1 +0\\.31 +[0-9]+ ms +no"));
  EXPECT_THAT(flat(text), HasSubstr("heard 150 down to 100 per minute in 6 steps, asked 150"));
}

RC_GTEST_PROP(HopSummary, StaysWithinTwentyFourLinesOfEightyColumns, ()) {
  test::HopsAsked asked;
  asked.hops = *rc::gen::inRange(1, 130);
  asked.steps = *rc::gen::inRange(0, 12);
  asked.scale = *rc::gen::arbitrary<bool>();
  asked.times = *rc::gen::arbitrary<bool>();
  measure::Measurement m = test::sample_hops(asked);
  m.clip.file = *rc::gen::string<std::string>();
  for (hop::Hop& hop : m.hops->hops) {
    if (*rc::gen::inRange(0, 4) == 0) hop.counted = false, hop.why_not = *rc::gen::string<std::string>();
  }
  const int notes = *rc::gen::inRange(0, 9);
  for (int i = 0; i < notes; ++i) {
    m.notes.push_back({"made-up", std::string(static_cast<std::size_t>(*rc::gen::inRange(1, 300)), 'x'), 1.0});
  }
  const auto lines = lines_of(summary(m, false));
  RC_ASSERT(lines.size() <= 24U);
  for (const std::string& line : lines) RC_ASSERT(code_points(line) <= 80U);
}

TEST(Words, BeatsAskedAndHeard) {
  measure::Measurement m = test::sample_hops({.steps = 1});
  EXPECT_EQ(beat_in_words(m), "heard 150 per minute, asked 150");
  m.beats = {};
  EXPECT_EQ(beat_in_words(m), "asked 150 per minute, none heard");
  m.asked.beat_bpm.reset();
  EXPECT_EQ(beat_in_words(m), "none asked, none heard");
}

}  // namespace
}  // namespace risetrace::report
