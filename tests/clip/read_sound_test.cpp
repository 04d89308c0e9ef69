// Sound written by the ffmpeg tool in many containers and codings: one sharp step in silence, whose place in the
// picture's time is known. ffmpeg is the independent writer; the times are those asked of it.
#include "clip/read_sound.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <thread>

#include "drawn.h"
#include "hear_all.h"
#include "mp4_boxes.h"
#include "place_aside.h"
#include "read_all.h"

namespace risetrace {
namespace {

// A folder's path holds no quote; the arguments are ours.
bool ffmpeg(const std::vector<std::string>& arguments) {
  std::string command = "ffmpeg -v error -nostdin -y";
  for (const std::string& each : arguments) command += " " + each;
  return std::system(command.c_str()) == 0;  // NOLINT(concurrency-mt-unsafe, cert-env33-c)
}

bool have_ffmpeg() {
  static const bool have = std::system("ffmpeg -version >/dev/null 2>&1") == 0;  // NOLINT(concurrency-mt-unsafe)
  return have;
}

#define RISETRACE_NEEDS_FFMPEG() \
  if (!have_ffmpeg()) GTEST_SKIP() << "ffmpeg is not installed"

const std::string picture = "-f lavfi -i testsrc=size=128x96:rate=60:duration=3 ";

// Silence, and from 1 s on a tone of 2 kHz that begins with its full slope.
std::string step_at_1_s(int rate_hz, int channels, double length_s = 3.0) {
  std::string tone = "'if(gte(t,1),0.5*sin(2*PI*2000*(t-1)),0)'";
  std::string all = tone;
  for (int i = 1; i < channels; ++i) all += "|" + tone;
  return "-f lavfi -i \"aevalsrc=exprs=" + all + ":s=" + std::to_string(rate_hz) + ":d=" + std::to_string(length_s) +
         "\" ";
}

struct Kind {
  const char* name;
  const char* ending;
  const char* coding;
  int rate_hz;
  int channels;
  double tolerance_s;
  double step_s = 1.0;  // where the file has it
};

// NOLINTNEXTLINE(readability-identifier-naming): googletest looks for this name
void PrintTo(const Kind& kind, std::ostream* out) { *out << kind.name; }

class EverySound : public ::testing::TestWithParam<Kind> {};

TEST_P(EverySound, LiesWhereTheFileHasIt) {
  RISETRACE_NEEDS_FFMPEG();
  const Kind kind = GetParam();
  const test::FolderAside aside;
  const std::string path = aside.file(std::string("clip.") + kind.ending);
  ASSERT_TRUE(ffmpeg({picture, step_at_1_s(kind.rate_hz, kind.channels), kind.coding, path}));
  const test::Heard heard = test::hear_all(path);
  ASSERT_FALSE(heard.error) << sentence(*heard.error);
  EXPECT_TRUE(heard.facts.there);
  EXPECT_EQ(heard.facts.channels, kind.channels);
  EXPECT_TRUE(heard.facts.notes.empty()) << heard.facts.notes[0].text;
  ASSERT_FALSE(heard.pieces.empty());
  EXPECT_NEAR(heard.pieces.front().rate_hz, 48000.0, 1e-6);
  EXPECT_EQ(heard.gaps(), 0);
  EXPECT_NEAR(heard.length_s(), 3.0, 0.06);  // a coder fills up its last frame
  const double at_s = heard.first_over_s(0.25F);
  EXPECT_NEAR(at_s, kind.step_s, kind.tolerance_s);
  RecordProperty("error_ms", std::to_string(1000.0 * (at_s - kind.step_s)));
  float most = 0.0F;
  for (const auto& piece : heard.pieces) {
    for (const float sample : piece.samples) most = std::max(most, std::abs(sample));
  }
  EXPECT_NEAR(most, 0.5F, 0.12F);  // equal channels mixed keep their level
}

// The sine passes half its height 0.04 ms after its beginning. Matroska and WebM round times to a millisecond. The
// transform coders ring before a step. MP3 in AVI: the coder's delay (25 ms, measured) is written nowhere in the file.
// Opus in WebM: ffmpeg 5.1 writes the picture 7 ms later than the sound (ffprobe: first frames at 0.007 and 0.000 s),
// so the file itself has the step at 0.9935 s.
INSTANTIATE_TEST_SUITE_P(
    Clip, EverySound,
    ::testing::Values(Kind{"pcm16_mov_mono", "mov", "-c:a pcm_s16le", 48000, 1, 0.0001},
                      Kind{"pcm16_mov_stereo_44k", "mov", "-c:a pcm_s16le", 44100, 2, 0.0002},
                      Kind{"pcm24_mov_six", "mov", "-c:a pcm_s24be", 48000, 6, 0.0001},
                      Kind{"pcm_mkv", "mkv", "-c:a pcm_s16le", 44100, 2, 0.0006},
                      Kind{"pcm_avi", "avi", "-c:v mjpeg -c:a pcm_s16le", 48000, 2, 0.0002},
                      Kind{"pcm_avi_8k", "avi", "-c:v mjpeg -c:a pcm_u8", 8000, 1, 0.0006},
                      Kind{"alac_mov", "mov", "-c:a alac", 44100, 2, 0.0002},
                      Kind{"flac_mkv", "mkv", "-c:a flac", 96000, 1, 0.0006},
                      Kind{"aac_mp4", "mp4", "-c:a aac -b:a 128k", 48000, 1, 0.0015},
                      Kind{"aac_mp4_44k_stereo", "mp4", "-c:a aac -b:a 192k", 44100, 2, 0.0015},
                      Kind{"aac_mkv", "mkv", "-c:a aac -b:a 128k", 48000, 1, 0.002},
                      Kind{"mp3_avi", "avi", "-c:v mjpeg -c:a libmp3lame -b:a 192k", 44100, 2, 0.060},
                      Kind{"opus_webm", "webm", "-c:v libvpx -deadline realtime -c:a libopus -b:a 96k", 48000, 2, 0.002,
                           0.9935},
                      Kind{"vorbis_webm", "webm", "-c:v libvpx -deadline realtime -c:a libvorbis", 44100, 2, 0.002}),
    [](const auto& given) { return std::string(given.param.name); });

TEST(Sound, NoTrackIsNoFault) {
  const test::FolderAside aside;
  report::ClipWriterOptions options;
  options.width = 192;
  options.height = 128;
  ASSERT_TRUE(test::write_clip(aside.file("mute.mp4"), options, test::steady_times(10, 60.0)));
  const test::Heard heard = test::hear_all(aside.file("mute.mp4"));
  EXPECT_FALSE(heard.error);
  EXPECT_FALSE(heard.facts.there);
  EXPECT_TRUE(heard.pieces.empty());
  EXPECT_TRUE(heard.facts.notes.empty());
}

TEST(Sound, FaultsAreThoseOfThePicture) {
  const test::FolderAside aside;
  EXPECT_EQ(test::hear_all(aside.file("none.mp4")).error->fault, Fault::clip_missing);
  test::write_bytes(aside.file("text.mp4"), std::vector<char>(1000, 'x'));
  EXPECT_EQ(test::hear_all(aside.file("text.mp4")).error->fault, Fault::clip_unreadable);
  EXPECT_EQ(test::hear_all(aside.file("none.mp4"), {.capture_fps = 0.5}).error->fault, Fault::option_wrong);
}

// A sound that starts 0.4 s after the picture, and one that starts before it: an edit list in MP4 (an empty edit, or a
// first picture later than the sound).
TEST(Sound, StartOffsetsAreKept) {
  RISETRACE_NEEDS_FFMPEG();
  const test::FolderAside aside;
  for (const char* name : {"clip.mp4", "clip.mov", "clip.mkv"}) {
    const std::string path = aside.file(name);
    ASSERT_TRUE(ffmpeg({picture, "-itsoffset 0.4 ", step_at_1_s(48000, 1), "-c:a pcm_s16le -strict -2 ",
                        (std::string(name) == "clip.mp4" ? "-c:a aac " : ""), path}));
    EXPECT_NEAR(test::hear_all(path).first_over_s(0.25F), 1.4, 0.0015) << name;
    ASSERT_TRUE(ffmpeg({"-itsoffset 0.4 ", picture, step_at_1_s(48000, 1), "-fps_mode passthrough ",
                        (std::string(name) == "clip.mp4" ? "-c:a aac " : "-c:a pcm_s16le "), path}));
    const test::Heard early = test::hear_all(path);
    EXPECT_NEAR(early.first_over_s(0.25F), 0.6, 0.0015) << name;
    EXPECT_NEAR(early.pieces.front().first_s, -0.4, 0.03) << name;
  }
}

// Cut without coding anew: an edit list makes the picture start between two sync frames.
TEST(Sound, EditListThatCutsTheBeginning) {
  RISETRACE_NEEDS_FFMPEG();
  const test::FolderAside aside;
  ASSERT_TRUE(ffmpeg(
      {picture, step_at_1_s(48000, 1), "-g 30 -bf 2 -c:v libx264 -c:a aac -b:a 128k ", aside.file("whole.mp4")}));
  ASSERT_TRUE(ffmpeg({"-ss 0.6 -i ", aside.file("whole.mp4"), " -c copy ", aside.file("cut.mp4")}));
  const test::Read read = test::read_all(aside.file("cut.mp4"));
  ASSERT_FALSE(read.error);
  const auto heard = test::hear_all(aside.file("cut.mp4"));
  // What is left of the picture says where it was cut: 3 s less its length.
  const double cut_s = 3.0 - read.facts.duration_s;
  EXPECT_NEAR(cut_s, 0.6, 0.02);
  EXPECT_NEAR(heard.first_over_s(0.25F), 1.0 - cut_s, 0.003);
}

TEST(Sound, AGapIsAGapAndNotALie) {
  RISETRACE_NEEDS_FFMPEG();
  const test::FolderAside aside;
  const std::string path = aside.file("gap.mkv");
  ASSERT_TRUE(
      ffmpeg({picture, step_at_1_s(48000, 1), "-af \"aselect='not(between(t,0.3,0.7))'\" -c:a pcm_s16le ", path}));
  const test::Heard heard = test::hear_all(path);
  EXPECT_EQ(heard.gaps(), 1);
  EXPECT_NEAR(heard.first_over_s(0.25F), 1.0, 0.0015);
  EXPECT_NEAR(heard.length_s(), 2.6, 0.05);
}

TEST(Sound, SlowMotionIsUndoneWithThePicture) {
  const test::FolderAside aside;
  for (const bool sound_is_slowed : {true, false}) {
    const std::string path = aside.file("slow.mp4");
    report::ClipWriterOptions options;
    options.width = 192;
    options.height = 128;
    options.rate_hz = 30.0;
    options.capture_fps = 240.0;
    options.sound_rate_hz = 48000;
    auto writer = report::ClipWriter::create(path, options);
    ASSERT_TRUE(writer);
    for (int i = 0; i < 120; ++i) ASSERT_TRUE(writer->add_picture(test::draw(192, 128, i).view(), i / 30.0));
    // 4 s in the file are half a second of filming; the tone begins in its middle.
    std::vector<float> sound(sound_is_slowed ? 192000 : 24000);
    const std::size_t middle = sound.size() / 2;
    for (std::size_t i = middle; i < sound.size(); ++i) {
      sound[i] = 0.5F * std::sin(0.1309F * static_cast<float>(i - middle));  // 1000 Hz in the file
    }
    ASSERT_TRUE(writer->add_sound(sound));
    ASSERT_TRUE(writer->finish());
    const test::Heard heard = test::hear_all(path);
    ASSERT_FALSE(heard.error);
    EXPECT_NEAR(heard.facts.stretch, sound_is_slowed ? 8.0 : 1.0, 1e-9);
    EXPECT_EQ(heard.has_note("sound-not-slowed"), !sound_is_slowed);
    ASSERT_FALSE(heard.pieces.empty());
    EXPECT_NEAR(heard.pieces.front().rate_hz, 48000.0, 50.0);
    EXPECT_NEAR(heard.length_s(), 0.5, 0.06);
    EXPECT_NEAR(heard.first_over_s(0.25F), 0.25, 0.003);
  }
}

TEST(Sound, FileCutOffYieldsWhatIsThere) {
  RISETRACE_NEEDS_FFMPEG();
  const test::FolderAside aside;
  for (const char* name : {"clip.mkv", "clip.mp4"}) {
    const std::string path = aside.file(name);
    ASSERT_TRUE(ffmpeg({picture, step_at_1_s(48000, 1), "-movflags +faststart -c:a aac ", path}));
    auto bytes = test::bytes_of(path);
    bytes.resize(bytes.size() * 7 / 10);
    test::write_bytes(path, bytes);
    const test::Heard heard = test::hear_all(path);
    ASSERT_FALSE(heard.error) << sentence(*heard.error);
    EXPECT_GT(heard.length_s(), 1.2) << name;
    EXPECT_LT(heard.length_s(), 2.7) << name;
    EXPECT_NEAR(heard.first_over_s(0.25F), 1.0, 0.002) << name;
  }
}

TEST(Sound, DamagedTrackIsReadAroundTheDamage) {
  RISETRACE_NEEDS_FFMPEG();
  const test::FolderAside aside;
  const std::string path = aside.file("clip.mp4");
  ASSERT_TRUE(ffmpeg({picture, step_at_1_s(48000, 1), "-c:a aac -b:a 128k ", aside.file("whole.mp4")}));
  // The bitstream filter overwrites bytes of some packets; the picture stays whole.
  ASSERT_TRUE(ffmpeg({"-i ", aside.file("whole.mp4"), " -c copy -bsf:a noise=amount=200 ", path}));
  const test::Heard heard = test::hear_all(path);
  ASSERT_FALSE(heard.error);
  EXPECT_TRUE(heard.has_note("sound-damaged"));
  EXPECT_GT(heard.length_s(), 1.0);
  EXPECT_FALSE(test::read_all(path).error);
}

TEST(Sound, RunsBesideThePicture) {
  RISETRACE_NEEDS_FFMPEG();
  const test::FolderAside aside;
  const std::string path = aside.file("clip.mp4");
  ASSERT_TRUE(ffmpeg({picture, step_at_1_s(48000, 1), "-c:a aac ", path}));
  const test::Read alone = test::read_all(path);
  test::Heard heard;
  std::thread beside([&] { heard = test::hear_all(path); });
  const test::Read together = test::read_all(path);
  beside.join();
  EXPECT_EQ(together.times_s, alone.times_s);
  EXPECT_EQ(together.facts.notes.size(), alone.facts.notes.size());
  EXPECT_NEAR(heard.first_over_s(0.25F), 1.0, 0.0015);
}

}  // namespace
}  // namespace risetrace
