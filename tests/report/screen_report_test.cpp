// The clinician's report of a visit, read with poppler's tools.
#include "report/screen_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/pdf_check.h"
#include "report/sample_screen.h"
#include "report/word_boxes.h"

namespace risetrace::report {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;

class ScreenReport : public test::PdfTest {
 protected:
  // The words of the report, in reading order.
  std::string written(const visit::Screen& screen, const std::string& language = "en") {
    const auto words = test::shipped_words("clinician", language);
    EXPECT_TRUE(write_screen_report(file_, screen, words, "0.1.0", "2026-03-02").ok());
    return this->words();
  }
  [[nodiscard]] int pages() const {
    const std::string facts = tool("pdfinfo");
    return std::stoi(facts.substr(facts.find("Pages:") + 6));
  }
  [[nodiscard]] std::string misplaced() const {
    return test::misplaced(test::word_boxes(test::output_of("pdftotext -bbox '" + file_.string() + "' -", file_)));
  }
};

std::vector<visit::Screen> many_screens() {
  return {test::evaluated_screen(), test::sample_screen(), test::sparse_screen(),
          test::referred_screen(),  test::empty_screen(),  test::screen_with_both_ladders(),
          test::crowded_screen()};
}

TEST_F(ScreenReport, IsTwoOrThreeA4PagesWithoutAnythingOverAnEdgeOrEachOther) {
  for (const std::string language : {"en", "de"}) {
    int which = 0;
    for (const visit::Screen& screen : many_screens()) {
      const std::string text = written(screen, language);
      EXPECT_GE(pages(), 2) << language << which;
      EXPECT_LE(pages(), 3) << language << which;
      EXPECT_THAT(tool("pdfinfo"), HasSubstr("(A4)"));
      EXPECT_EQ(misplaced(), "") << language << which;
      EXPECT_THAT(text, Not(ContainsRegex("\\[[a-z-]+\\.[a-z._-]+\\]"))) << "a key without words";
      EXPECT_THAT(text, Not(HasSubstr("{"))) << "a place not filled";
      ++which;
    }
  }
}

TEST_F(ScreenReport, IsTheSameBytesForTheSameInputAndDay) {
  const visit::Screen screen = test::sample_screen();
  written(screen);
  const std::string once = test::bytes_of(file_);
  written(screen);
  EXPECT_EQ(once, test::bytes_of(file_));
}

TEST_F(ScreenReport, AYesIsTheFirstThingOnThePageAndNothingOfTrainingFollows) {
  const std::string text = written(test::referred_screen());
  EXPECT_EQ(text.find("Refer the same day"), 0U);
  EXPECT_LT(text.find("Suspected clot"), text.find("Calf and tendon screen"));
  EXPECT_LT(text.find("Test with care"), text.find("Calf and tendon screen"));
  EXPECT_THAT(text, HasSubstr("Answered yes: Is one calf swollen, warm and tender?"));
  EXPECT_THAT(text, HasSubstr("No plan is made. A question was answered yes that calls for referral."));
  for (const char* training : {"sets of", "Strength comes first", "trained first", "Move up", "Next test", "a step"}) {
    EXPECT_THAT(text, Not(HasSubstr(training))) << training;
  }
  EXPECT_THAT(text, HasSubstr("over 5: 0 / 7 / –"));
}

TEST_F(ScreenReport, SaysWhichQuestionsHaveNoAnswer) {
  EXPECT_THAT(written(test::sparse_screen()), HasSubstr("Without an answer: steroids, poor balance."));
  EXPECT_THAT(written(test::empty_screen()), HasSubstr("None of the 13 caution questions has an answer."));
  EXPECT_THAT(written(test::sample_screen()), HasSubstr("All 13 questions were asked and answered no."));
}

TEST_F(ScreenReport, CautionsPainFindingsAndPlanComeInThisOrder) {
  const std::string text = written(test::sample_screen());
  const std::vector<const char*> order = {"Cautions",
                                          "Pain in the tests",
                                          "Findings",
                                          "Plan",
                                          "Left against right",
                                          "Bent against straight",
                                          "Against what others have",
                                          "Against earlier visits",
                                          "How each number was got",
                                          "Method",
                                          "Read and judged by"};
  std::size_t last = 0;
  for (const char* heading : order) {
    const std::size_t at = text.find(heading, last);
    ASSERT_NE(at, std::string::npos) << heading;
    last = at;
  }
}

TEST_F(ScreenReport, SaysFindingsWithWhyAndHowSureAndWhatElse) {
  const std::string text = written(test::sample_screen());
  EXPECT_THAT(text, HasSubstr("Calf strength and recoil are both low on the left leg"));
  EXPECT_THAT(text, HasSubstr("Sureness: likely"));
  EXPECT_THAT(text, HasSubstr("Reps: left 17, right 26 — low (likely)"));
  EXPECT_THAT(text, HasSubstr("beyond retest noise by one study (5.7), within it by another (18.6)"));
  EXPECT_THAT(text, HasSubstr("10 % between the sides is customary, and criticised"));
  EXPECT_THAT(text, HasSubstr("Hops at 150 per minute · Time on the ground: left 312 ms, right 268 ms"));
  EXPECT_THAT(text, HasSubstr("pain held the leg back; less than full effort; a stiff ankle"));
  EXPECT_THAT(text, HasSubstr("9.1 cm, right 9.5 cm — not low"));
}

TEST_F(ScreenReport, SaysTheNumbersTheirSourcesAndWhatTheyAreNot) {
  const std::string text = written(test::sample_screen());
  EXPECT_THAT(text, HasSubstr("312 ± 4"));
  EXPECT_THAT(text, HasSubstr("21–25 %"));
  EXPECT_THAT(text, HasSubstr("not tested alike: another incline"));
  EXPECT_THAT(text, HasSubstr("Sleeswijk Visser et al. 2025"));
  EXPECT_THAT(text, HasSubstr("by hand"));
  EXPECT_THAT(text, HasSubstr("left-straight.mp4 (aaaaaaaaaaaa); scale: printed card"));
  EXPECT_THAT(text, HasSubstr("Not a medical device"));
  EXPECT_THAT(text, HasSubstr("changed for the better"));
  EXPECT_THAT(text, HasSubstr("risetrace 0.1.0"));
}

TEST_F(ScreenReport, TellsWhichFilesAreTheUsersOwn) {
  visit::Screen screen = test::sample_screen();
  EXPECT_THAT(written(screen), Not(HasSubstr("(the user’s own)")));
  screen.models_used[2].own = true;
  EXPECT_THAT(written(screen), HasSubstr("references.json (the user’s own)"));
}

TEST_F(ScreenReport, SpeaksGerman) {
  const std::string text = written(test::referred_screen(), "de");
  EXPECT_EQ(text.find("Noch heute ärztlich abklären"), 0U);
  EXPECT_THAT(text, HasSubstr("9,1 cm"));
  EXPECT_THAT(text, HasSubstr("Wadenkraft und Reaktivkraft vermindert, links"));
  EXPECT_THAT(text, HasSubstr("10 % zwischen den Seiten sind üblich und umstritten"));
  for (const char* training : {"Sätze", "trainiert", "Zuerst Kraft", "Nächster Test", "Von der Stufe"}) {
    EXPECT_THAT(text, Not(HasSubstr(training))) << training;
  }
  for (const char* english : {" the ", " of ", "knee", "kept", "published"}) {
    EXPECT_THAT(written(test::sparse_screen(), "de"), Not(HasSubstr(english))) << english;
  }
}

TEST_F(ScreenReport, SaysSoWhereItCannotBeWritten) {
  const auto none = write_screen_report("/no/such/folder/report.pdf", test::sparse_screen(),
                                        test::shipped_words("clinician", "en"), "0.1.0", "2026-03-02");
  ASSERT_FALSE(none.ok());
  EXPECT_EQ(none.error().fault, Fault::cannot_write);
}

}  // namespace
}  // namespace risetrace::report
