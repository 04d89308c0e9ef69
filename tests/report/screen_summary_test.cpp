// What the terminal says of a visit.
#include "report/screen_summary.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/lines.h"
#include "report/sample_screen.h"

namespace risetrace::report {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;

std::string summary_of(const visit::Screen& screen, const std::string& language = "en") {
  return screen_summary(screen, test::shipped_words("clinician", language));
}

TEST(ScreenSummary, FitsFortyLinesOfAHundredColumns) {
  for (const std::string language : {"en", "de"}) {
    for (const visit::Screen& screen : {test::evaluated_screen(), test::sample_screen(), test::sparse_screen(),
                                        test::referred_screen(), test::empty_screen(), test::crowded_screen()}) {
      const std::string text = summary_of(screen, language);
      const auto lines = test::lines_of(text);
      EXPECT_LE(lines.size(), 40U);
      EXPECT_GE(lines.size(), 5U);
      for (const std::string& line : lines) EXPECT_LE(test::code_points(line), 100U) << line;
      EXPECT_THAT(text, Not(ContainsRegex("\\[[a-z-]+\\.[a-z._-]+\\]")));
    }
  }
}

TEST(ScreenSummary, SaysCautionsFirstAndNoTrainingOverAReferral) {
  const std::string text = summary_of(test::referred_screen());
  EXPECT_THAT(test::lines_of(text)[1], HasSubstr("Refer the same day: Suspected clot"));
  EXPECT_THAT(text, HasSubstr("over 5 of 10: Hops, left 7"));
  EXPECT_THAT(text, HasSubstr("No plan is made."));
  EXPECT_THAT(text, Not(HasSubstr("sets of")));
}

TEST(ScreenSummary, SaysFindingsSidesAndPlan) {
  const std::string text = summary_of(test::sample_screen());
  EXPECT_THAT(text, HasSubstr("Calf strength and recoil are both low on the left leg (likely)"));
  EXPECT_THAT(text, ContainsRegex("Reps +17 +26 +−9 +yes"));
  EXPECT_THAT(text, HasSubstr("Strength: From a step, one leg; 3 sets of 12 to 15 reps, each leg"));
  EXPECT_THAT(text, HasSubstr("21–25 %")) << "beside every J";
  EXPECT_THAT(text, ContainsRegex("[0-9]+ not shown here; all are in screen.json"));
}

}  // namespace
}  // namespace risetrace::report
