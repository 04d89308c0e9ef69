// Frames through a pipe, while it grows: the same as of the file, whatever the pieces; and what is none is refused.
#include "clip/live_reader.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <thread>

#include "drawn.h"
#include "place_aside.h"
#include "read_all.h"

namespace risetrace {
namespace {

using clip::LiveReader;

constexpr int frames_written = 40;

std::string written(const test::FolderAside& aside, const std::string& name, report::Codec codec) {
  report::ClipWriterOptions options;
  options.codec = codec;
  options.width = 192;
  options.height = 128;
  options.bit_rate_mbps = 3.0;
  const std::string path = aside.file(name);
  const Outcome done = test::write_clip(path, options, test::steady_times(frames_written, 60.0));
  EXPECT_TRUE(done) << sentence(done.error());
  return path;
}

struct Piped {
  std::vector<clip::Frame> frames;
  std::optional<Error> error;
  clip::ClipFacts facts;
  std::optional<Error> keep_error;
};

// `pieces`: sizes of what is written at a time, over and over.
Piped piped(const std::vector<char>& bytes, const std::vector<std::size_t>& pieces = {1 << 20},
            const clip::LiveOptions& options = {}) {
  int ends[2] = {-1, -1};
  EXPECT_EQ(::pipe2(ends, O_CLOEXEC), 0);
  Piped out;
  auto reader = LiveReader::open_pipe(ends[0], "pipe", options);
  if (!reader) {
    ::close(ends[1]);
    out.error = reader.error();
    return out;
  }
  std::thread writer([&] {
    std::size_t done = 0;
    for (std::size_t i = 0; done < bytes.size(); ++i) {
      const std::size_t more = std::min(pieces[i % pieces.size()], bytes.size() - done);
      const ssize_t put = ::write(ends[1], bytes.data() + done, more);
      if (put <= 0) break;
      done += static_cast<std::size_t>(put);
    }
    ::close(ends[1]);
  });
  while (true) {
    auto next = reader->next_within(10);
    if (!next) {
      out.error = next.error();
      break;
    }
    if (next->came != LiveReader::Came::frame) break;
    out.frames.push_back(*std::move(next->frame));
  }
  out.facts = reader->facts();
  out.keep_error = reader->keep_error();
  writer.join();
  return out;
}

void expect_same(const Piped& got, const test::Read& wanted) {
  ASSERT_FALSE(got.error) << sentence(*got.error);
  ASSERT_EQ(got.frames.size(), wanted.frames.size());
  for (std::size_t i = 0; i < wanted.frames.size(); ++i) {
    EXPECT_EQ(got.frames[i].time_s, wanted.frames[i].time_s);
    EXPECT_EQ(got.frames[i].number, wanted.frames[i].number);
    EXPECT_EQ(clip::upright_picture(got.frames[i]).grey, clip::upright_picture(wanted.frames[i]).grey);
  }
  EXPECT_EQ(got.facts.width_px, wanted.facts.width_px);
  EXPECT_NEAR(got.facts.frame_rate_hz, wanted.facts.frame_rate_hz, 1e-9);
}

struct Kind {
  const char* name;
  report::Codec codec;
};

// NOLINTNEXTLINE(readability-identifier-naming): the name is GoogleTest's
void PrintTo(const Kind& kind, std::ostream* out) { *out << kind.name; }

class ThroughAPipe : public testing::TestWithParam<Kind> {};

TEST_P(ThroughAPipe, ComeTheFramesOfTheFile) {
  const test::FolderAside aside;
  const std::string path = written(aside, GetParam().name, GetParam().codec);
  expect_same(piped(test::bytes_of(path)), test::read_all(path, {}, true));
}

INSTANTIATE_TEST_SUITE_P(Matroska, ThroughAPipe,
                         testing::Values(Kind{"a.mkv", report::Codec::h264}, Kind{"b.mkv", report::Codec::hevc},
                                         Kind{"c.webm", report::Codec::vp9}, Kind{"d.mkv", report::Codec::mjpeg}));

RC_GTEST_PROP(Pipe, PiecesOfAnySizeChangeNothing, ()) {
  static const test::FolderAside aside;
  static const std::string path = written(aside, "a.mkv", report::Codec::h264);
  static const std::vector<char> bytes = test::bytes_of(path);
  static const test::Read wanted = test::read_all(path, {}, true);
  const auto pieces =
      *rc::gen::nonEmpty(rc::gen::container<std::vector<std::size_t>>(rc::gen::inRange<std::size_t>(1, 9000)));
  const Piped got = piped(bytes, pieces);
  RC_ASSERT(!got.error);
  RC_ASSERT(got.frames.size() == wanted.frames.size());
  for (std::size_t i = 0; i < wanted.frames.size(); ++i) RC_ASSERT(got.frames[i].time_s == wanted.frames[i].time_s);
}

TEST(Pipe, WhatIsNoRecordingIsRefused) {
  const auto fault_of = [](const std::vector<char>& bytes) {
    const Piped got = piped(bytes);
    EXPECT_TRUE(got.error);
    return got.error ? got.error->fault : Fault::defect;
  };
  EXPECT_EQ(fault_of({}), Fault::clip_unreadable);
  EXPECT_EQ(fault_of({'a', 'b', 'c'}), Fault::clip_unreadable);
  EXPECT_EQ(fault_of(std::vector<char>(5000, 'G')), Fault::clip_no_picture);  // 0x47, as a transport stream begins
  const std::string playlist = "#EXTM3U\n#EXTINF:1,\nfile:///etc/passwd\n";
  EXPECT_EQ(fault_of({playlist.begin(), playlist.end()}), Fault::clip_unreadable);
}

TEST(Pipe, ARecordingCutOffKeepsItsFrames) {
  const test::FolderAside aside;
  std::vector<char> bytes = test::bytes_of(written(aside, "a.mkv", report::Codec::h264));
  bytes.resize(bytes.size() * 2 / 3);
  const Piped got = piped(bytes);
  EXPECT_FALSE(got.error);
  EXPECT_GT(got.frames.size(), 15U);
  EXPECT_LT(got.frames.size(), 35U);
}

TEST(Pipe, WhatIsKeptIsWhatCame) {
  const test::FolderAside aside;
  const std::vector<char> bytes = test::bytes_of(written(aside, "a.mkv", report::Codec::h264));
  clip::LiveOptions options;
  options.keep = aside.file("kept.mkv");
  EXPECT_FALSE(piped(bytes, {777}, options).keep_error);
  EXPECT_EQ(test::bytes_of(options.keep), bytes);
  struct stat facts {};
  ASSERT_EQ(::stat(options.keep.c_str(), &facts), 0);
  EXPECT_EQ(facts.st_mode & 0777, 0600U);
  const Piped again = piped(bytes, {777}, options);
  ASSERT_TRUE(again.error);
  EXPECT_EQ(again.error->fault, Fault::cannot_write);  // nothing is overwritten
}

TEST(Pipe, SaysThatNothingCameAndStopsWhenAsked) {
  int ends[2] = {-1, -1};
  ASSERT_EQ(::pipe2(ends, O_CLOEXEC), 0);
  auto reader = LiveReader::open_pipe(ends[0], "pipe", {});
  ASSERT_TRUE(reader);
  const auto next = reader->next_within(0.05);
  ASSERT_TRUE(next);
  EXPECT_EQ(next->came, LiveReader::Came::nothing);
  reader->stop();
  const auto end = reader->next_within(10);
  ASSERT_FALSE(end);
  EXPECT_EQ(end.error().fault, Fault::clip_unreadable);
  ::close(ends[1]);
}

TEST(Pipe, ItsReaderMayGoAtAnyTime) {
  const test::FolderAside aside;
  const std::vector<char> bytes = test::bytes_of(written(aside, "a.mkv", report::Codec::h264));
  std::signal(SIGPIPE, SIG_IGN);  // the writer may be left alone
  for (const int taken : {0, 1, 20}) {
    int ends[2] = {-1, -1};
    ASSERT_EQ(::pipe2(ends, O_CLOEXEC), 0);
    auto reader = LiveReader::open_pipe(ends[0], "pipe", {});
    ASSERT_TRUE(reader);
    std::thread writer(
        [&] { static_cast<void>(::write(ends[1], bytes.data(), std::min<std::size_t>(bytes.size(), 60000)) > 0); });
    for (int i = 0; i < taken; ++i) ASSERT_TRUE(reader->next_within(5));
    { const LiveReader gone = *std::move(reader); }
    writer.join();
    ::close(ends[1]);
  }
}

TEST(PlayedFile, KeepsItsOwnPace) {
  const test::FolderAside aside;
  const std::string path = written(aside, "a.mp4", report::Codec::h264);
  clip::LiveOptions options;
  options.speed = 2;
  auto reader = LiveReader::open(path, options);
  ASSERT_TRUE(reader);
  std::optional<std::chrono::steady_clock::time_point> first;
  int frames = 0;
  while (true) {
    const auto next = reader->next_within(10);
    ASSERT_TRUE(next);
    if (next->came == LiveReader::Came::end) break;
    ASSERT_EQ(next->came, LiveReader::Came::frame);
    const auto now = std::chrono::steady_clock::now();
    if (!first) first = now;
    // No earlier than its time; how much later is the machine's affair. The first may itself have been a little late.
    EXPECT_GE(std::chrono::duration<double>(now - *first).count(), next->frame->time_s / 2 - 0.03) << frames;
    ++frames;
  }
  EXPECT_EQ(frames, frames_written);
  EXPECT_EQ(reader->facts().frames, frames_written);
}

TEST(PlayedFile, IsRefusedAtOnce) {
  const auto fault_of = [](const std::string& path) {
    const auto reader = LiveReader::open(path, {});
    return reader ? Fault::defect : reader.error().fault;
  };
  EXPECT_EQ(fault_of("/no/such/file"), Fault::clip_missing);
  EXPECT_EQ(fault_of("/dev/null"), Fault::clip_missing);
  EXPECT_EQ(fault_of("http://127.0.0.1/a.mkv"), Fault::clip_missing);
}

}  // namespace
}  // namespace risetrace
