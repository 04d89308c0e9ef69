// `risetrace beat` as its users run it: the WAV is taken apart byte by byte.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <filesystem>
#include <sstream>

#include "whole/run.h"

namespace risetrace::test {
namespace {

std::uint32_t little_endian(const std::string& bytes, std::size_t at, std::size_t count) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < count; ++i)
    value |= std::uint32_t{static_cast<std::uint8_t>(bytes.at(at + i))} << (8 * i);
  return value;
}

std::vector<std::int16_t> samples_of(const std::string& wav) {
  EXPECT_EQ(wav.substr(0, 4), "RIFF");
  EXPECT_EQ(wav.substr(8, 8), "WAVEfmt ");
  EXPECT_EQ(little_endian(wav, 4, 4) + 8, wav.size());
  EXPECT_EQ(little_endian(wav, 20, 2), 1U);      // PCM
  EXPECT_EQ(little_endian(wav, 22, 2), 1U);      // channels
  EXPECT_EQ(little_endian(wav, 24, 4), 48000U);  // samples a second
  EXPECT_EQ(little_endian(wav, 34, 2), 16U);     // bits
  EXPECT_EQ(wav.substr(36, 4), "data");
  EXPECT_EQ(little_endian(wav, 40, 4) + 44, wav.size());
  std::vector<std::int16_t> samples;
  for (std::size_t at = 44; at + 1 < wav.size(); at += 2) {
    samples.push_back(static_cast<std::int16_t>(little_endian(wav, at, 2)));
  }
  return samples;
}

// Where silence of 100 ms or more ends.
std::vector<std::size_t> attacks(const std::vector<std::int16_t>& samples) {
  std::vector<std::size_t> found;
  std::size_t quiet = 4800;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i] == 0) {
      ++quiet;
      continue;
    }
    if (quiet >= 4800) found.push_back(i);
    quiet = 0;
  }
  return found;
}

TEST(Beat, SteadyTrackIsSampleExact) {
  const Place place;
  const Ran ran = risetrace_run({"beat", "--bpm", "77", "--bars", "5", "--out", place / "b.wav"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_NE(ran.out.find("20 beats at 77 per minute"), std::string::npos) << ran.out;
  EXPECT_EQ(place.holds(), Words{"b.wav"});
  const auto at = attacks(samples_of(read_file(place / "b.wav")));
  ASSERT_EQ(at.size(), 24U);
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double ideal = 48000.0 * (0.5 + static_cast<double>(i) * 60.0 / 77.0);
    EXPECT_NEAR(static_cast<double>(at[i]), ideal, 1.6) << i;  // a sine's first sample is zero
  }
}

TEST(Beat, LadderWithItsListUnderTheDefaultName) {
  const Place place;
  RunOptions options;
  options.folder = place.path();
  const Ran ran = risetrace_run({"beat", "--ladder", "150:100:6", "--seconds", "8", "--list"}, options);
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(place.holds(), (Words{"risetrace-beat-150-100.csv", "risetrace-beat-150-100.wav"}));
  const auto at = attacks(samples_of(read_file(place / "risetrace-beat-150-100.wav")));
  std::istringstream list(read_file(place / "risetrace-beat-150-100.csv"));
  std::string line;
  std::getline(list, line);
  EXPECT_EQ(line, "beat,step,kind,bpm,sample,time_s");
  std::size_t row = 0;
  int accents = 0;
  for (; std::getline(list, line); ++row) {
    std::istringstream cells(line);
    std::vector<std::string> cell;
    for (std::string each; std::getline(cells, each, ',');) cell.push_back(each);
    ASSERT_EQ(cell.size(), 6U);
    ASSERT_LT(row, at.size());
    EXPECT_NEAR(std::stod(cell[4]), static_cast<double>(at[row]), 1.1);
    EXPECT_NEAR(std::stod(cell[5]) * 48000.0, std::stod(cell[4]), 0.01);
    accents += cell[2] == "accent" ? 1 : 0;
  }
  EXPECT_EQ(row, at.size());
  EXPECT_EQ(accents, 6);
  EXPECT_EQ(row, 4U + 20 + 18 + 17 + 16 + 14 + 13);  // whole beats in 8 s
}

TEST(Beat, WritesOverAnEarlierTrackButLeavesNothingHalfDone) {
  const Place place;
  write_file(place / "b.wav", "old");
  ASSERT_EQ(risetrace_run({"beat", "--bpm", "60", "--bars", "1", "--out", place / "b.wav"}).status, 0);
  EXPECT_GT(read_file(place / "b.wav").size(), 1000U);
  EXPECT_EQ(place.holds(), Words{"b.wav"});
  std::filesystem::create_directory(place / "folder.wav");
  expect_refused(risetrace_run({"beat", "--bpm", "60", "--out", place / "folder.wav"}), 5, {"folder.wav", "--out"});
  expect_refused(risetrace_run({"beat", "--bpm", "60", "--out", place / "none/b.wav"}), 5, {"none/b.wav", "--out"});
  EXPECT_EQ(place.holds(), (Words{"b.wav", "folder.wav"}));
}

TEST(Beat, SaysWhatIsWrongWithEachMistake) {
  const Place place;
  RunOptions options;
  options.folder = place.path();
  const auto refused = [&](const Words& arguments, const Words& words) {
    Words all = {"beat"};
    all.insert(all.end(), arguments.begin(), arguments.end());
    expect_refused(risetrace_run(all, options), 2, words);
  };
  refused({}, {"--bpm", "--ladder"});
  refused({"--bpm", "29"}, {"--bpm", "30"});
  refused({"--bpm", "241"}, {"--bpm", "240"});
  refused({"--bpm", "nan"}, {"--bpm"});
  refused({"--bpm", "sixty"}, {"--bpm", "sixty"});
  refused({"--bpm", "60", "--ladder", "150:100:6"}, {"--bpm", "--ladder"});
  refused({"--bpm", "60", "--bars", "4", "--seconds", "10"}, {"--bars", "--seconds"});
  refused({"--bpm", "60", "--bars", "0"}, {"--bars"});
  refused({"--bpm", "60", "--bars", "1.5"}, {"--bars"});
  refused({"--bpm", "60", "--seconds", "0"}, {"--seconds"});
  refused({"--bpm", "30", "--bars", "1000"}, {"1800"});
  refused({"--ladder", "100:150:6"}, {"go down", "faster tempo first"});
  refused({"--ladder", "150:100"}, {"150:100", "FROM:TO:STEPS"});
  refused({"--ladder", "150:100:x"}, {"'x'", "FROM:TO:STEPS"});
  refused({"--ladder", "150:100:1"}, {"steps"});
  refused({"--ladder", "300:100:5"}, {"300", "240"});
  refused({"--ladder", "150:149:6"}, {"150:149:6", "fewer steps"});
  refused({"--ladder", "150:100:6", "--out", "beat.mp3"}, {".mp3", ".wav"});
  refused({"--bpm", "60", "--list", "--out", "b.csv"}, {"--list", "b.csv"});
  refused({"60"}, {"60"});
  EXPECT_EQ(place.holds(), Words{});
}

TEST(Beat, StepsTooShortToJudgeAreSaid) {
  const Place place;
  const Ran ran = risetrace_run({"beat", "--ladder", "150:100:6", "--seconds", "1", "--out", place / "b.wav"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find("1 beat at 100"), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("too few hops to judge"), std::string::npos) << ran.out;
}

TEST(Beat, HelpTellsHowToPlayIt) {
  const Ran ran = risetrace_run({"beat", "--help"});
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.err, "");
  for (const char* word : {"--bpm", "--ladder", "--bars", "--seconds", "--out", "--list", "2.9 ms"}) {
    EXPECT_NE(ran.out.find(word), std::string::npos) << word;
  }
}

}  // namespace
}  // namespace risetrace::test
