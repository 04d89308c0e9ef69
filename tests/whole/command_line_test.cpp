// What may be typed: wrong command lines are told in one line that names the option (exit 2); help goes to standard
// output.
#include <gtest/gtest.h>

#include "place.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

std::string sample_clip() { return (source_folder() / "sample-clips/portrait-slow.mp4").string(); }

void expect_usage(const Words& arguments, const Words& words) {
  const Place place;
  RunOptions options;
  options.folder = place.path();
  expect_refused(risetrace_run(arguments, options), 2, words);
  EXPECT_EQ(place.holds(), Words{}) << "something was left behind";
}

class NumericOption : public testing::TestWithParam<const char*> {};

}  // namespace

TEST_P(NumericOption, RefusesWhatIsNoNumberOfItsRange) {
  const std::string option = GetParam();
  for (const char* value : {"nan", "NaN", "-nan", "inf", "-inf", "-5000", "1e300", "1e999", "", " ", "abc", "1,5",
                            "12x", "0x", "--", "1;2", "\xff\xfe", "１２"}) {
    if ((option == "--heel" || option == "--forefoot") && std::string(value) == "1,5") continue;  // there it is a place
    SCOPED_TRACE(option + "=" + value);
    expect_usage({"measure", sample_clip(), "--out", "out", option + "=" + value}, {option});
  }
}

TEST_P(NumericOption, RefusesItsValueMissing) {
  expect_usage({"measure", sample_clip(), "--out", "out", GetParam()}, {GetParam()});
}

INSTANTIATE_TEST_SUITE_P(All, NumericOption,
                         testing::Values("--mass", "--card-offset", "--distance", "--px-per-cm", "--end-fraction",
                                         "--end-after", "--reference-reps", "--beat", "--capture-fps", "--heel",
                                         "--forefoot"),
                         [](const auto& given) {
                           std::string name;
                           for (const char c : std::string(given.param)) name += c == '-' ? '_' : c;
                           return name;
                         });

TEST(CommandLine, RefusesZeroWhereNothingIsNothing) {
  for (const char* option : {"--mass", "--distance", "--px-per-cm", "--end-fraction", "--end-after", "--reference-reps",
                             "--beat", "--capture-fps"}) {
    expect_usage({"measure", sample_clip(), "--out", "out", option, "0"}, {option});
  }
}

TEST(CommandLine, RefusesFractionsOfCountedThings) {
  for (const char* option : {"--end-after", "--reference-reps"}) {
    expect_usage({"measure", sample_clip(), "--out", "out", option, "1.5"}, {option});
  }
}

TEST(CommandLine, RefusesWhatItDoesNotKnow) {
  expect_usage({}, {"risetrace --help"});
  expect_usage({"levitate"}, {"levitate"});
  expect_usage({"measure"}, {"CLIP"});
  expect_usage({"measure", sample_clip(), "--levitate"}, {"--levitate", "risetrace measure --help"});
  expect_usage({"measure", sample_clip(), "second.mp4"}, {"second.mp4"});
  expect_usage({"measure", sample_clip(), "--side", "up"}, {"--side", "left", "right"});
  expect_usage({"measure", sample_clip(), "--knee", "up"}, {"--knee", "straight", "bent"});
  expect_usage({"measure", sample_clip(), "--card", "ace"}, {"--card", "tags", "id-1", "none"});
  expect_usage({"measure", sample_clip(), "--test", "nap"}, {"--test", "heel-raise"});
  expect_usage({"print", "cards"}, {"card", "stickers"});
  expect_usage({"print", "card", "--paper", "a0"}, {"--paper", "a4", "letter"});
  expect_usage({"synth"}, {"SCENE"});
}

TEST(CommandLine, HeelOutsideThePicture) {
  for (const char* heel : {"5000,10", "10,5000", "719.6,10"}) {
    expect_usage({"measure", sample_clip(), "--out", "out", "--heel", heel}, {"--heel", "720 x 1280"});
  }
  expect_usage({"measure", sample_clip(), "--out", "out", "--heel=-3,10"}, {"--heel"});
  expect_usage({"measure", sample_clip(), "--out", "out", "--heel", "100"}, {"--heel"});
  expect_usage({"measure", sample_clip(), "--out", "out", "--heel", "1,2,3"}, {"--heel"});
}

TEST(CommandLine, CardOffsetNeedsDistance) {
  expect_usage({"measure", sample_clip(), "--out", "out", "--card-offset", "10"}, {"--card-offset", "--distance"});
  expect_usage({"measure", sample_clip(), "--out", "out", "--card-offset=-300", "--distance", "2"}, {"--card-offset"});
}

TEST(CommandLine, HelpAndVersionGoToStandardOutput) {
  for (const Words& asked : {Words{"--help"}, Words{"measure", "--help"}, Words{"check", "--help"},
                             Words{"print", "--help"}, Words{"synth", "--help"}, Words{"--version"}}) {
    const Ran ran = risetrace_run(asked);
    EXPECT_EQ(ran.status, 0);
    EXPECT_EQ(ran.err, "");
    EXPECT_NE(ran.out.find("risetrace"), std::string::npos) << ran.out;
  }
  EXPECT_NE(risetrace_run({"--help"}).out.find("Exit status"), std::string::npos);
  EXPECT_NE(risetrace_run({"measure", "--help"}).out.find("--card-offset"), std::string::npos);
}

TEST(CommandLine, ModelsThatAreNowhere) {
  RunOptions options;
  options.environment["RISETRACE_MODELS"] = "/nowhere/models";
  const Place place;
  expect_refused(risetrace_run({"measure", sample_clip(), "--out", place / "out"}, options), 70, {"/nowhere/models"});
  expect_refused(risetrace_run({"print", "card", "--out", place / "card.pdf"}, options), 70, {"/nowhere/models"});
  EXPECT_EQ(place.holds(), Words{});
}

}  // namespace risetrace::test
