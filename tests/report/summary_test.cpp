#include "report/summary.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <sstream>

#include "report/lines.h"
#include "report/sample_measurement.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using test::code_points;
using test::lines_of;
using testing::HasSubstr;
using testing::Not;

TEST(Summary, SaysWhatMatters) {
  const measure::Measurement m = test::sample_measurement();
  const std::string text = summary(m, false);
  EXPECT_THAT(text, HasSubstr(std::to_string(m.raises->count) + " reps counted, left leg, knee straight"));
  EXPECT_THAT(text, HasSubstr("after rep 11"));
  EXPECT_THAT(text, HasSubstr("2 low reps in a row"));
  EXPECT_THAT(text, HasSubstr("29.6 reps per minute (asked 30.0)"));  // 60 s / 2.03 s
  EXPECT_THAT(text, HasSubstr(" ± "));
  EXPECT_THAT(text, HasSubstr("bridged"));
  EXPECT_THAT(text, HasSubstr("Not a medical device"));
  EXPECT_THAT(text, Not(HasSubstr("\033")));
}

// There is room for a dozen lines: the first note is begun, however long, and the gravest is the first.
TEST(Summary, ALongNoteIsBegunAndTheRestCounted) {
  measure::Measurement m = test::sample_measurement();
  m.notes = {{"frames-repeated", std::string(500, 'x'), 1.0},
             {"reference-uneven", "Reps differ. " + std::string(400, 'y'), 2.0}};
  const std::string text = summary(m, false);
  EXPECT_NE(text.find("Note      2.0 s: Reps differ. yyy"), std::string::npos) << text;
  EXPECT_NE(text.find("whole, and 1 more, in result.json"), std::string::npos) << text;
  EXPECT_EQ(text.find("xxx"), std::string::npos);
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 12);
}

TEST(Summary, WithoutAScaleThereAreNoCentimetres) {
  const std::string text = summary(test::sample_without_scale(), false);
  EXPECT_THAT(text, Not(HasSubstr(" cm,")));
  EXPECT_THAT(text, Not(HasSubstr("reps counted")));
  EXPECT_THAT(text, HasSubstr("Pixels only"));
}

TEST(Summary, FileNameCannotSteerTheTerminal) {
  measure::Measurement m = test::sample_measurement();
  m.clip.file =
      "a\033[2Jb\xc2\x9b"
      "c\xff.mp4";
  const std::string text = summary(m, false);
  EXPECT_THAT(text, HasSubstr("a?[2Jb?c?.mp4"));
}

RC_GTEST_PROP(Summary, StaysWithinTwelveLinesOfEightyColumns, ()) {
  measure::Measurement m = *rc::gen::arbitrary<bool>() ? test::sample_measurement() : test::sample_without_scale();
  m.clip.file = *rc::gen::string<std::string>();
  const int notes = *rc::gen::inRange(0, 9);
  for (int i = 0; i < notes; ++i) {
    const int words = *rc::gen::inRange(1, 60);
    std::string text;
    for (int w = 0; w < words; ++w) text += std::string(static_cast<std::size_t>(*rc::gen::inRange(1, 14)), 'x') + " ";
    m.notes.push_back({"made-up", text, std::nullopt});
  }
  const auto lines = lines_of(summary(m, false));
  RC_ASSERT(lines.size() <= 12U);
  for (const std::string& line : lines) RC_ASSERT(code_points(line) <= 80U);
}

TEST(Words, FixedRoundsAndKnowsNoNegativeZero) {
  EXPECT_EQ(fixed(-0.004, 2), "0.00");
  EXPECT_EQ(fixed(9.456, 2), "9.46");
  EXPECT_EQ(fixed(std::nullopt, 2), "–");
  EXPECT_EQ(fixed(std::nan(""), 2), "–");
}

TEST(Words, HowASetEnds) {
  measure::Measurement m = test::sample_measurement();
  m.raises->set_end.why = raise::EndWhy::clip_end;
  EXPECT_THAT(how_it_ended(*m.raises, m.asked.protocol), HasSubstr("not ended when the clip did"));
  m.raises->set_end.why = raise::EndWhy::pause;
  EXPECT_THAT(how_it_ended(*m.raises, m.asked.protocol), HasSubstr("no rise for 5 s"));
}

}  // namespace
}  // namespace risetrace::report
