// The runner's sheet, read with poppler's tools, and the drawings on it.
#include "report/runner_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "report/figure.h"
#include "report/pdf_check.h"
#include "report/rung_drawing.h"
#include "report/sample_screen.h"
#include "report/word_boxes.h"

namespace risetrace::report {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;

class RunnerSheet : public test::PdfTest {
 protected:
  std::string written(const visit::Screen& screen, const std::string& language = "en") {
    const auto words = test::shipped_words("runner", language);
    EXPECT_TRUE(write_runner_sheet(file_, screen, words, "0.1.0", "2026-03-02").ok());
    return this->words();
  }
};

TEST_F(RunnerSheet, IsOnePageForAnyVisitAndEveryRung) {
  std::vector<visit::Screen> screens = {test::evaluated_screen(), test::sample_screen(),
                                        test::sparse_screen(),    test::referred_screen(),
                                        test::empty_screen(),     test::screen_with_both_ladders(),
                                        test::crowded_screen()};
  const model::VisitModels models = test::shipped_models();
  const auto& strength = models.training.ladder("strength")->rungs;
  const auto& recoil = models.training.ladder("recoil")->rungs;
  for (std::size_t i = 0; i < strength.size(); ++i) {
    visit::Screen screen = test::screen_with_both_ladders();
    screen.plan.lines[0].rung = strength[i];
    screen.plan.lines[1].rung = recoil[i % recoil.size()];
    screens.push_back(screen);
  }
  for (const std::string language : {"en", "de"}) {
    for (std::size_t i = 0; i < screens.size(); ++i) {
      const std::string text = written(screens[i], language);
      EXPECT_THAT(tool("pdfinfo"), ContainsRegex("Pages: +1\n")) << language << i;
      EXPECT_EQ(test::misplaced(test::word_boxes(test::output_of("pdftotext -bbox '" + file_.string() + "' -", file_))),
                "")
          << language << i;
      EXPECT_THAT(text, Not(ContainsRegex("\\[[a-z-]+\\.[a-z._-]+\\]"))) << "a key without words";
      EXPECT_THAT(text, Not(HasSubstr("{"))) << "a place not filled";
    }
  }
}

TEST_F(RunnerSheet, IsTheSameBytesForTheSameInputAndDay) {
  const visit::Screen screen = test::sample_screen();
  written(screen);
  const std::string once = test::bytes_of(file_);
  written(screen);
  EXPECT_EQ(once, test::bytes_of(file_));
}

TEST_F(RunnerSheet, SaysWhenToStopThenWhatWasFoundThenWhatToTrain) {
  const std::string text = written(test::sample_screen());
  const std::size_t stop = text.find("Stop at pain over 5 of 10");
  const std::size_t found = text.find("Strength and spring of the calf are both low on your left leg.");
  const std::size_t train = text.find("Raises on a step, one leg");
  ASSERT_NE(stop, std::string::npos);
  ASSERT_NE(train, std::string::npos);
  EXPECT_LT(stop, found);
  EXPECT_LT(found, train);
  EXPECT_THAT(text, HasSubstr("3 sets of 12 to 15, each leg"));
  EXPECT_THAT(text, HasSubstr("Start with the left leg."));
  EXPECT_THAT(text, HasSubstr("Move up when every set reaches 15 at full height, 2 times running."));
  EXPECT_THAT(text, HasSubstr("Next step: Raises on a step, one leg, with weight"));
  EXPECT_THAT(text, HasSubstr("Pain up to 5 of 10 while training is all right if it is gone the next morning."));
  EXPECT_THAT(text, HasSubstr("Hopping comes later"));
  EXPECT_THAT(text, HasSubstr("Next test: 27 April 2026"));
}

TEST_F(RunnerSheet, TakesTheLoadFromTheLogAndTheRestFromTheModels) {
  const std::string text = written(test::screen_with_both_ladders());
  EXPECT_THAT(text, HasSubstr("now with 8.2 to 8.8 kg in the hand"));
  EXPECT_THAT(text, HasSubstr("Take 2 to 10 % more weight"));
  EXPECT_THAT(text, HasSubstr("150 beats per minute"));
  EXPECT_THAT(text, HasSubstr("48 to 72 hours"));
}

TEST_F(RunnerSheet, SaysWhomToSeeAndNothingOfTrainingWhereOneIsReferred) {
  const std::string text = written(test::referred_screen());
  EXPECT_EQ(text.find("See a doctor today"), 0U);
  EXPECT_THAT(text, HasSubstr("Go to a doctor or an emergency department today."));
  for (const char* training : {"sets", "Raises", "Move up", "Next test", "Your week", "Train within", "Tick off"}) {
    EXPECT_THAT(text, Not(HasSubstr(training))) << training;
  }
  const std::string german = written(test::referred_screen(), "de");
  EXPECT_EQ(german.find("Geh noch heute in ärztliche Behandlung"), 0U);
  for (const char* training : {"Sätze", "Fersenheben auf", "Nächster Test", "Deine Woche", "Übe "}) {
    EXPECT_THAT(german, Not(HasSubstr(training))) << training;
  }
}

TEST_F(RunnerSheet, ARefusedTrainingOfAnotherKindSaysWhy) {
  visit::Screen screen = test::sample_screen();
  screen.plan = {};
  screen.plan.why_not = "pain";
  EXPECT_THAT(written(screen), HasSubstr("A test hurt too much."));
  EXPECT_THAT(written(test::empty_screen()), HasSubstr("Nobody has asked you about your health yet."));
}

TEST(RungDrawings, ThereIsOneForEveryRung) {
  for (const model::Ladder& ladder : test::shipped_models().training.ladders) {
    for (const model::Rung& rung : ladder.rungs) EXPECT_TRUE(has_rung_drawing(rung.key)) << rung.key;
  }
  EXPECT_FALSE(has_rung_drawing("no-such-rung"));
}

TEST(Figure, LimbsKeepTheirLengthsAndBendForward) {
  const Point hip{0, 90};
  const Point ankle{4, 15};
  const Point knee = bend_between(hip, ankle, 43, 42, -1);
  EXPECT_NEAR(std::hypot(knee.x - hip.x, knee.y - hip.y), 43, 1e-9);
  EXPECT_NEAR(std::hypot(knee.x - ankle.x, knee.y - ankle.y), 42, 1e-9);
  EXPECT_GT(knee.x, 2) << "a knee bends forward";
}

TEST(Figure, AHeelGoesUpAboutTheBallOfTheFoot) {
  const Point flat = ankle_of({{0, 0}, 0, true});
  const Point up = ankle_of({{0, 0}, 50, true});
  EXPECT_GT(up.y, flat.y + 5);
  EXPECT_NEAR(std::hypot(up.x, up.y), std::hypot(flat.x, flat.y), 1e-9);
  EXPECT_LT(ankle_of({{0, 0}, -20, true}).y, flat.y);
}

}  // namespace
}  // namespace risetrace::report
