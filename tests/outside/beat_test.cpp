// Click times against the track that made them, through what a phone's recording does to them. Truth: the samples of
// the WAV; the mixtures are made here from seeds. Signal to noise: the clicks' power in their first 10 ms over the
// noise's mean power in the whole band (landings: over that of their first 10 ms).
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "../beat/sounds.h"
#include "../clip/hear_all.h"
#include "../clip/place_aside.h"
#include "report/wav_file.h"

namespace risetrace {
namespace {

struct Made {
  beat::ClickTrack track;
  test::Sound sound;
  std::vector<double> times_s;
  double length_s = 0.0;
};

const Made& ladder() {
  static const Made made = [] {
    Made out;
    out.track = *beat::make_click_track({{{150, 40}, {140, 40}, {130, 40}, {120, 40}, {110, 40}, {100, 40}}, 0.5});
    out.sound = test::as_sound(out.track);
    out.times_s = test::times_of(out.track);
    out.length_s = static_cast<double>(out.sound.size()) / test::sound_rate_hz;
    return out;
  }();
  return made;
}

void report(const std::string& what, const beat::Beats& beats, const test::Errors& errors) {
  std::printf("%-28s found %3d of %d, extra %d, mean %+.3f, sd %.3f, greatest %.3f ms, steps %zu\n", what.c_str(),
              errors.found, errors.wanted, errors.extra, errors.mean_ms, errors.sd_ms, errors.most_ms,
              beats.steps.size());
}

enum class Noise { white, pink, voices, landings };

test::Sound noise_of(Noise noise, const Made& made) {
  switch (noise) {
    case Noise::white:
      return test::white(made.length_s, 1);
    case Noise::pink:
      return test::pink(made.length_s, 2);
    case Noise::voices:
      return test::babble(made.length_s, 3);
    case Noise::landings:
      break;
  }
  return test::landings(made.length_s, made.times_s, 0.012, 4);
}

struct Mix {
  Noise noise;
  const char* name;
  int snr_db;
};
// NOLINTNEXTLINE(readability-identifier-naming): googletest looks for this name
void PrintTo(const Mix& mix, std::ostream* out) { *out << mix.name << " at " << mix.snr_db << " dB"; }

class ClickTimes : public ::testing::TestWithParam<Mix> {};

TEST_P(ClickTimes, AreTheTracksWithinAMillisecond) {
  const auto& [noise, name, snr_db] = GetParam();
  const Made& made = ladder();
  test::Sound other = noise_of(noise, made);
  const double power = noise == Noise::landings ? test::click_power(other, made.times_s) : test::mean_square(other);
  const double wanted = test::click_power(made.sound, made.times_s) * std::pow(10.0, -snr_db / 10.0);
  for (float& sample : other) sample *= static_cast<float>(std::sqrt(wanted / power));
  test::add(other, made.sound);
  const beat::Beats beats = test::heard_in(other);
  const test::Errors errors = test::errors_of(beats, made.times_s);
  report(std::string(name) + " at " + std::to_string(snr_db) + " dB", beats, errors);
  ASSERT_EQ(beats.steps.size(), 6U);
  for (std::size_t s = 0; s < 6; ++s) EXPECT_NEAR(beats.steps[s].bpm, 150.0 - 10.0 * static_cast<double>(s), 0.05);
  EXPECT_EQ(errors.extra, 0);
  EXPECT_GE(errors.found, snr_db >= 10 ? 242 : 230);
  EXPECT_LT(errors.most_ms, snr_db >= 10 ? 1.0 : 1.5);
  EXPECT_LT(errors.rms_ms, snr_db >= 10 ? 0.2 : 0.4);
}

INSTANTIATE_TEST_SUITE_P(Outside, ClickTimes,
                         ::testing::Values(Mix{Noise::white, "white", 20}, Mix{Noise::white, "white", 10},
                                           Mix{Noise::white, "white", 3}, Mix{Noise::pink, "pink", 20},
                                           Mix{Noise::pink, "pink", 10}, Mix{Noise::pink, "pink", 3},
                                           Mix{Noise::voices, "voices", 20}, Mix{Noise::voices, "voices", 10},
                                           Mix{Noise::voices, "voices", 3}, Mix{Noise::landings, "landings", 20},
                                           Mix{Noise::landings, "landings", 10}, Mix{Noise::landings, "landings", 3}),
                         [](const auto& given) {
                           return std::string(given.param.name) + "_" + std::to_string(given.param.snr_db) + "_dB";
                         });

TEST(ClickTimes, ThroughARoomAGateAndAnAutomaticGain) {
  const Made& made = ladder();
  test::Sound noisy = test::pink(made.length_s, 3);
  test::scale_to(noisy, 0.01 * test::click_power(made.sound, made.times_s));
  test::add(noisy, made.sound);
  const auto expect_within = [&](const char* what, const test::Sound& sound) {
    const beat::Beats beats = test::heard_in(sound);
    const test::Errors errors = test::errors_of(beats, made.times_s);
    report(what, beats, errors);
    EXPECT_EQ(beats.steps.size(), 6U) << what;
    EXPECT_EQ(errors.extra, 0) << what;
    EXPECT_GE(errors.found, 240) << what;
    EXPECT_LT(errors.most_ms, 1.0) << what;
  };
  expect_within("room, 0.4 s", test::in_room(made.sound, 0.4, 1.0, 5));
  expect_within("room, 0.8 s, far away", test::in_room(made.sound, 0.8, 10.0, 6));
  expect_within("room with noise at 20 dB", test::in_room(noisy, 0.6, 2.0, 7));
  expect_within("gate, cut after 6 ms", test::gated(noisy, 0.15, 0.006));
  expect_within("gate, cut after 3 ms", test::gated(made.sound, 0.1, 0.003));
  expect_within("automatic gain", test::levelled(noisy));
  expect_within("all three", test::levelled(test::gated(test::in_room(noisy, 0.4, 1.0, 8), 0.1, 0.02)));
}

// Coded with the picture by the ffmpeg tool. The file says that sound and picture begin together, whatever the coder
// put before it.
TEST(ClickTimes, CodedWithThePictureInOneFile) {
  if (std::system("ffmpeg -version >/dev/null 2>&1") != 0) GTEST_SKIP() << "ffmpeg is not installed";  // NOLINT
  const Made& made = ladder();
  const test::FolderAside aside;
  ASSERT_TRUE(report::write_wav(aside.file("beat.wav"), made.track));
  struct Coding {
    const char* file;
    const char* arguments;
    double offset_s;
  };
  for (const Coding& coding :
       {Coding{"aac.mp4", "-c:a aac -b:a 96k", 0.0}, Coding{"aac44.mov", "-c:a aac -b:a 64k -ar 44100 -ac 2", 0.0},
        Coding{"late.mp4", "-c:a aac -b:a 128k -af adelay=137", 0.137}, Coding{"pcm.mov", "-c:a pcm_s16le", 0.0},
        Coding{"mp3.mp4", "-c:a libmp3lame -b:a 128k", 0.0}, Coding{"flac.mkv", "-c:a flac", 0.0}}) {
    const std::string path = aside.file(coding.file);
    const std::string command = "ffmpeg -v error -nostdin -y -f lavfi -i testsrc=size=64x48:rate=30:duration=122 -i " +
                                aside.file("beat.wav") + " " + coding.arguments + " " + path;
    ASSERT_EQ(std::system(command.c_str()), 0) << command;  // NOLINT(concurrency-mt-unsafe, cert-env33-c)
    beat::BeatListener listener;
    auto reader = clip::SoundReader::open(path, {});
    ASSERT_TRUE(reader);
    for (auto piece = reader->next(); piece && *piece; piece = reader->next()) listener.push(**piece);
    const beat::Beats beats = listener.finish();
    std::vector<double> times_s = made.times_s;
    for (double& each_s : times_s) each_s += coding.offset_s;
    const test::Errors errors = test::errors_of(beats, times_s);
    report(coding.file, beats, errors);
    EXPECT_EQ(errors.found, errors.wanted) << coding.file;
    EXPECT_EQ(errors.extra, 0) << coding.file;
    EXPECT_LT(errors.most_ms, 1.0) << coding.file;
    EXPECT_EQ(beats.steps.size(), 6U) << coding.file;
  }
}

// How often sounds without a beat are taken for one: each seed is half a minute.
TEST(ClickTimes, NoneInSoundsWithoutABeat) {
  int false_beats = 0;
  int clips = 0;
  for (unsigned seed = 100; seed < 110; ++seed) {
    for (const test::Sound& sound :
         {test::white(30.0, seed), test::pink(30.0, seed), test::babble(30.0, seed, 1), test::babble(30.0, seed, 2),
          test::music(30.0, seed, 95.0, 0.02), test::landings(30.0, test::even_times(0.5, 140.0, 65), 0.006, seed)}) {
      ++clips;
      false_beats += test::heard_in(sound).steps.empty() ? 0 : 1;
    }
  }
  std::printf("false beats: %d in %d clips\n", false_beats, clips);
  EXPECT_EQ(false_beats, 0);
}

}  // namespace
}  // namespace risetrace
