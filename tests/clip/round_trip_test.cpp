// What the writer writes, the reader must read back: every codec, container, orientation and clock.
#include <gtest/gtest.h>

#include <cmath>

#include "drawn.h"
#include "place_aside.h"
#include "read_all.h"

namespace risetrace {
namespace {

using report::ClipWriterOptions;
using report::Codec;

ClipWriterOptions small_clip(Codec codec = Codec::h264) {
  ClipWriterOptions options;
  options.codec = codec;
  options.width = 192;
  options.height = 128;
  options.rate_hz = 60.0;
  options.bit_rate_mbps = 6.0;
  return options;
}

struct Kind {
  Codec codec;
  const char* ending;
  const char* name;
  int bits;
  double tick_s;
};

class EveryKind : public ::testing::TestWithParam<Kind> {};

double mean_difference(const clip::Patch& patch, const test::Grid& wanted) {
  double sum = 0.0;
  for (int y = 0; y < wanted.height; ++y) {
    for (int x = 0; x < wanted.width; ++x) sum += std::abs(patch.at(x, y) - wanted.at(x, y));
  }
  return sum / (wanted.width * wanted.height);
}

test::Grid drawn_grid(int width, int height, int number) {
  test::Grid grid(width, height);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) grid.at(x, y) = test::drawn_luma(x, y, width, height, number);
  }
  return grid;
}

TEST_P(EveryKind, ComesBackPictureForPicture) {
  const Kind kind = GetParam();
  const test::FolderAside aside;
  const std::string path = aside.file(std::string("clip") + kind.ending);
  const auto times_s = test::steady_times(24, 60.0);
  const Outcome written = test::write_clip(path, small_clip(kind.codec), times_s, kind.bits);
  if (!written && written.error().why.find("has no encoder") != std::string::npos) GTEST_SKIP() << written.error().why;
  ASSERT_TRUE(written) << sentence(written.error());
  const test::Read read = test::read_all(path, {}, true);
  ASSERT_FALSE(read.error) << sentence(*read.error);
  EXPECT_EQ(read.facts.codec, kind.name);
  EXPECT_EQ(read.facts.frames, 24);
  EXPECT_TRUE(read.facts.notes.empty()) << read.facts.notes[0].text;
  EXPECT_FALSE(read.facts.timing_irregular);
  ASSERT_EQ(read.frames.size(), times_s.size());
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    const clip::Frame& frame = read.frames[i];
    EXPECT_EQ(frame.number, static_cast<std::int64_t>(i));
    EXPECT_EQ(frame.bits, kind.bits);
    EXPECT_NEAR(frame.time_s, times_s[i], 0.51 * kind.tick_s + 1e-9);
    const clip::Patch whole = clip::upright_patch(frame, {0, 0, 192, 128});
    EXPECT_LT(mean_difference(whole, drawn_grid(192, 128, static_cast<int>(i))), 3.0) << "picture " << i;
  }
}

constexpr double fine_s = 1.0 / 90000.0;
INSTANTIATE_TEST_SUITE_P(
    Clip, EveryKind,
    ::testing::Values(Kind{Codec::h264, ".mp4", "h264", 8, fine_s}, Kind{Codec::h264, ".MOV", "h264", 8, fine_s},
                      Kind{Codec::h264, ".mkv", "h264", 8, 0.001}, Kind{Codec::h264, ".avi", "h264", 8, fine_s},
                      Kind{Codec::hevc, ".mp4", "hevc", 8, fine_s}, Kind{Codec::hevc_10bit, ".mov", "hevc", 10, fine_s},
                      Kind{Codec::hevc_10bit, ".mkv", "hevc", 10, 0.001}, Kind{Codec::vp9, ".webm", "vp9", 8, 0.001},
                      Kind{Codec::vp9, ".mp4", "vp9", 8, fine_s}, Kind{Codec::av1, ".mp4", "av1", 8, fine_s},
                      Kind{Codec::av1, ".webm", "av1", 8, 0.001}, Kind{Codec::mjpeg, ".avi", "mjpeg", 8, fine_s},
                      Kind{Codec::mjpeg, ".mov", "mjpeg", 8, fine_s}));

TEST(RoundTrip, AllEightOrientationsStandUpright) {
  const test::FolderAside aside;
  for (int number = 0; number < 8; ++number) {
    ClipWriterOptions options = small_clip();
    options.orientation = {number % 4, number >= 4};
    const std::string path = aside.file("turned.mp4");
    ASSERT_TRUE(test::write_clip(path, options, test::steady_times(2, 60.0)));
    const test::Read read = test::read_all(path, {}, true);
    ASSERT_FALSE(read.error);
    EXPECT_EQ(read.facts.rotation_deg, 90 * (number % 4));
    EXPECT_EQ(read.facts.mirrored, number >= 4);
    const test::Grid wanted = test::stood_up(drawn_grid(192, 128, 0), options.orientation);
    EXPECT_EQ(read.facts.width_px, wanted.width);
    EXPECT_EQ(read.facts.height_px, wanted.height);
    const clip::Patch whole = clip::upright_patch(read.frames[0], {0, 0, wanted.width, wanted.height});
    EXPECT_LT(mean_difference(whole, wanted), 3.0) << number;
  }
}

TEST(RoundTrip, UnevenTimesAreKeptAndSaidToBeUneven) {
  const test::FolderAside aside;
  std::vector<double> times_s;
  for (int i = 0; i < 60; ++i) times_s.push_back(0.5 + i / 60.0 + 0.004 * std::sin(i * 1.3));
  for (const auto& [ending, tick_s] : {std::pair{".mp4", fine_s}, std::pair{".mkv", 0.001}}) {
    const std::string path = aside.file(std::string("uneven") + ending);
    ASSERT_TRUE(test::write_clip(path, small_clip(), times_s));
    const test::Read read = test::read_all(path);
    ASSERT_EQ(read.times_s.size(), times_s.size());
    for (std::size_t i = 0; i < times_s.size(); ++i) {
      EXPECT_NEAR(read.times_s[i], times_s[i] - times_s[0], 1.01 * tick_s);  // two roundings
    }
    EXPECT_TRUE(read.facts.timing_irregular);
    EXPECT_EQ(read.facts.frames_missing, 0);
  }
}

TEST(RoundTrip, CaptureTagUndoesSlowMotionAndTheGivenRateWins) {
  const test::FolderAside aside;
  for (const char* name : {"slow.mp4", "slow.mov"}) {
    ClipWriterOptions options = small_clip();
    options.rate_hz = 30.0;
    options.capture_fps = 240.0;
    ASSERT_TRUE(test::write_clip(aside.file(name), options, test::steady_times(48, 30.0)));
    const test::Read tagged = test::read_all(aside.file(name));
    EXPECT_EQ(tagged.facts.frame_rate_from, clip::FrameRateFrom::capture_tag);
    EXPECT_NEAR(tagged.facts.frame_rate_hz, 240.0, 1e-6);
    EXPECT_NEAR(tagged.facts.stretch, 8.0, 1e-9);
    EXPECT_NEAR(tagged.facts.duration_s, 0.2, 1e-6);
    EXPECT_NEAR(tagged.times_s[47], 47.0 / 240.0, 1e-6);
    const test::Read given = test::read_all(aside.file(name), {.capture_fps = 120.0});
    EXPECT_EQ(given.facts.frame_rate_from, clip::FrameRateFrom::given);
    EXPECT_NEAR(given.facts.frame_rate_hz, 120.0, 1e-6);
    EXPECT_NEAR(given.times_s[47], 47.0 / 120.0, 1e-6);
  }
}

TEST(RoundTrip, ShortSoundHintsAtAStretchedClockUnlessTheRateIsGiven) {
  const test::FolderAside aside;
  const std::string path = aside.file("slow.mp4");
  ClipWriterOptions options = small_clip();
  options.rate_hz = 30.0;
  options.sound_rate_hz = 48000;
  auto writer = report::ClipWriter::create(path, options);
  ASSERT_TRUE(writer);
  for (int i = 0; i < 60; ++i) ASSERT_TRUE(writer->add_picture(test::draw(192, 128, i).view(), i / 30.0));
  ASSERT_TRUE(writer->add_sound(std::vector<float>(48000 / 4, 0.1F)));  // 0.25 s beside 2 s
  ASSERT_TRUE(writer->finish());
  const test::Read plain = test::read_all(path);
  ASSERT_FALSE(plain.error);
  EXPECT_NE(plain.note("clock-may-be-stretched"), nullptr);
  EXPECT_EQ(plain.facts.stretch, 1.0);
  const test::Read given = test::read_all(path, {.capture_fps = 240.0});
  EXPECT_EQ(given.note("clock-may-be-stretched"), nullptr);
  EXPECT_NEAR(given.facts.stretch, 8.0, 1e-9);
}

TEST(RoundTrip, MissingFramesAreCountedAndPlaced) {
  const test::FolderAside aside;
  auto times_s = test::steady_times(60, 60.0);
  times_s.erase(times_s.begin() + 40, times_s.begin() + 43);
  times_s.erase(times_s.begin() + 20);
  for (const char* name : {"gap.mp4", "gap.mkv"}) {
    ASSERT_TRUE(test::write_clip(aside.file(name), small_clip(), times_s));
    const test::Read read = test::read_all(aside.file(name));
    EXPECT_EQ(read.facts.frames, 56);
    EXPECT_EQ(read.facts.frames_missing, 4);
    EXPECT_TRUE(read.facts.timing_irregular);
    const Note* note = read.note("frames-missing");
    ASSERT_NE(note, nullptr);
    ASSERT_TRUE(note->t_s);
    EXPECT_NEAR(*note->t_s, 19.0 / 60.0, 0.001);
  }
}

TEST(RoundTrip, FramesOutliveTheirReaderAndShareNoMemory) {
  const test::FolderAside aside;
  const std::string path = aside.file("clip.mp4");
  ASSERT_TRUE(test::write_clip(path, small_clip(), test::steady_times(30, 60.0)));
  const test::Read read = test::read_all(path, {.capture_fps = {}, .keep_chroma = true}, true);  // the reader is gone
  ASSERT_EQ(read.frames.size(), 30U);
  for (int i = 0; i < 30; ++i) {
    const clip::Frame& frame = read.frames[static_cast<std::size_t>(i)];
    const clip::Patch corner = clip::upright_patch(frame, {170, 110, 8, 8});
    EXPECT_NEAR(corner.at(4, 4), 40 + 8 * (i % 20), 4.0);
    ASSERT_NE(frame.chroma[0].data, nullptr);
    EXPECT_EQ(frame.chroma[1].width, 96);
    EXPECT_NEAR(frame.chroma[0].data[10], 110, 3);
    EXPECT_NEAR(frame.chroma[1].data[10], 150, 3);
  }
}

// Blocks of a coarse coding keep their borders where no one smooths them; what is shown when is the same.
TEST(RoundTrip, WithoutSmoothedBlocksTheSameFramesLookLittleOtherwise) {
  const test::FolderAside aside;
  const std::string path = aside.file("coarse.mp4");
  ClipWriterOptions options = small_clip();
  options.bit_rate_mbps = 0.3;
  ASSERT_TRUE(test::write_clip(path, options, test::steady_times(30, 60.0)));
  const test::Read smooth = test::read_all(path, {}, true);
  const test::Read plain = test::read_all(path, {.capture_fps = {}, .smooth_blocks = false}, true);
  ASSERT_EQ(plain.frames.size(), 30U);
  EXPECT_EQ(plain.times_s, smooth.times_s);
  double sum = 0;
  for (std::size_t i = 0; i < plain.frames.size(); ++i) {
    const clip::Patch a = clip::upright_patch(plain.frames[i], {0, 0, 192, 128});
    const clip::Patch b = clip::upright_patch(smooth.frames[i], {0, 0, 192, 128});
    for (std::size_t at = 0; at < a.grey.size(); ++at) sum += std::abs(a.grey[at] - b.grey[at]);
  }
  const double mean = sum / (30 * 192 * 128);
  EXPECT_GT(mean, 0.01);
  EXPECT_LT(mean, 2.0);
}

// A part read on purpose is no clip that was cut off.
TEST(RoundTrip, StopsWhereItIsTold) {
  const test::FolderAside aside;
  const std::string path = aside.file("long.mp4");
  ASSERT_TRUE(test::write_clip(path, small_clip(), test::steady_times(90, 60.0)));
  auto reader = clip::ClipReader::open(path, {});
  ASSERT_TRUE(reader);
  reader->stop_after(0.5);
  int frames = 0;
  for (auto frame = reader->next(); frame && *frame; frame = reader->next()) ++frames;
  EXPECT_EQ(frames, 31);
  EXPECT_EQ(reader->facts().frames, 31);
  EXPECT_NEAR(reader->facts().duration_s, 31 / 60.0, 1e-3);
  EXPECT_NEAR(reader->facts().frame_rate_hz, 60, 0.01);
  EXPECT_FALSE(reader->facts().timing_irregular);
  EXPECT_TRUE(reader->facts().notes.empty());
}

TEST(RoundTrip, RangeIsTold) {
  const test::FolderAside aside;
  for (const Codec codec : {Codec::h264, Codec::mjpeg}) {
    for (const bool full : {false, true}) {
      ClipWriterOptions options = small_clip(codec);
      options.full_range = full;
      ASSERT_TRUE(test::write_clip(aside.file("range.mov"), options, test::steady_times(2, 60.0)));
      const test::Read read = test::read_all(aside.file("range.mov"), {}, true);
      ASSERT_EQ(read.frames.size(), 2U);
      EXPECT_EQ(read.frames[0].full_range, full) << static_cast<int>(codec);
      EXPECT_EQ(read.frames[0].chroma[0].data, nullptr);
    }
  }
}

TEST(RoundTrip, TheSameWithAnyNumberOfThreads) {
  const test::FolderAside aside;
  const std::string path = aside.file("clip.mp4");
  ASSERT_TRUE(test::write_clip(path, small_clip(), test::steady_times(40, 60.0)));
  const test::Read one = test::read_all(path, {.capture_fps = {}, .threads = 1}, true);
  const test::Read four = test::read_all(path, {.capture_fps = {}, .threads = 4}, true);
  ASSERT_EQ(one.times_s, four.times_s);
  for (std::size_t i = 0; i < one.frames.size(); ++i) {
    EXPECT_EQ(clip::upright_picture(one.frames[i]).grey, clip::upright_picture(four.frames[i]).grey);
  }
}

TEST(RoundTrip, ShareReadRisesToOne) {
  const test::FolderAside aside;
  for (const char* name : {"clip.mp4", "clip.mkv", "clip.avi"}) {
    ASSERT_TRUE(test::write_clip(aside.file(name), small_clip(), test::steady_times(60, 60.0)));
    auto reader = clip::ClipReader::open(aside.file(name), {});
    ASSERT_TRUE(reader);
    double before = 0.0;
    while (true) {
      const auto frame = reader->next();
      ASSERT_TRUE(frame);
      if (!*frame) break;
      EXPECT_GE(reader->share_read(), before);
      before = reader->share_read();
      EXPECT_NEAR(before, (*frame)->time_s, 0.05);  // the clip lasts a second
    }
    EXPECT_EQ(reader->share_read(), 1.0);
  }
}

}  // namespace
}  // namespace risetrace
