// Reading ahead gives what plain reading gives, and stops wherever its caller goes.
#include "clip/read_ahead.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <optional>
#include <string>

#include "drawn.h"
#include "place_aside.h"
#include "read_all.h"

namespace risetrace {
namespace {

constexpr int frames_written = 40;  // more than wait at a time

class ReadingAhead : public ::testing::Test {
 protected:
  void SetUp() override {
    report::ClipWriterOptions options;
    options.codec = report::Codec::h264;
    options.width = 192;
    options.height = 128;
    options.rate_hz = 60.0;
    options.bit_rate_mbps = 6.0;
    const Outcome written = test::write_clip(path(), options, test::steady_times(frames_written, 60.0));
    ASSERT_TRUE(written) << sentence(written.error());
  }
  [[nodiscard]] std::string path() const { return aside_.file("clip.mp4"); }
  [[nodiscard]] clip::ReadAhead ahead() const {
    auto reader = clip::ClipReader::open(path(), {});
    EXPECT_TRUE(reader);
    return clip::ReadAhead(*std::move(reader));
  }

 private:
  test::FolderAside aside_;
};

TEST_F(ReadingAhead, GivesTheSameFramesAndFacts) {
  const test::Read plain = test::read_all(path(), {}, true);
  ASSERT_EQ(plain.frames.size(), static_cast<std::size_t>(frames_written));
  clip::ReadAhead reader = ahead();
  double share = 0;
  for (const clip::Frame& wanted : plain.frames) {
    const auto frame = reader.next();
    ASSERT_TRUE(frame && *frame);
    EXPECT_EQ((*frame)->number, wanted.number);
    EXPECT_EQ((*frame)->time_s, wanted.time_s);
    EXPECT_EQ(clip::upright_picture(**frame).grey, clip::upright_picture(wanted).grey);
    EXPECT_GE(reader.share_read(), share);
    share = reader.share_read();
  }
  EXPECT_GT(share, 0.9);
  const auto end = reader.next();
  ASSERT_TRUE(end && !*end);
  const auto after = reader.next();
  ASSERT_TRUE(after && !*after);
  EXPECT_EQ(reader.facts().frames, plain.facts.frames);
  EXPECT_EQ(reader.facts().duration_s, plain.facts.duration_s);
  EXPECT_EQ(reader.facts().frame_rate_hz, plain.facts.frame_rate_hz);
}

TEST_F(ReadingAhead, StopsWhereverItsCallerGoes) {
  for (const int wanted : {0, 1, 7, frames_written}) {
    std::optional<clip::Frame> kept;
    {
      clip::ReadAhead reader = ahead();
      for (int i = 0; i < wanted; ++i) {
        auto frame = reader.next();
        ASSERT_TRUE(frame && *frame);
        kept = std::move(**frame);
      }
    }
    // What was handed out outlives the thread.
    if (kept) {
      EXPECT_EQ(clip::upright_picture(*kept).grey.size(), 192U * 128U);
    }
  }
}

TEST_F(ReadingAhead, MayBeMovedWhileItReads) {
  clip::ReadAhead first = ahead();
  ASSERT_TRUE(first.next());
  clip::ReadAhead second = std::move(first);
  int frames = 1;
  while (true) {
    const auto frame = second.next();
    ASSERT_TRUE(frame);
    if (!*frame) break;
    ++frames;
  }
  EXPECT_EQ(frames, frames_written);
}

// The index at the end is kept, all pictures are overwritten.
TEST_F(ReadingAhead, HandsOnTheError) {
  const auto bytes = static_cast<std::streamoff>(std::filesystem::file_size(path()));
  std::fstream file(path(), std::ios::in | std::ios::out | std::ios::binary);
  std::string text(static_cast<std::size_t>(bytes), '\0');
  file.read(text.data(), bytes);
  const std::size_t data = text.find("mdat");
  const std::size_t index = text.find("moov");
  ASSERT_NE(data, std::string::npos);
  ASSERT_NE(index, std::string::npos);
  const std::size_t end = index > data ? index - 4 : text.size();
  file.seekp(static_cast<std::streamoff>(data + 4));
  const std::string noise(end - data - 4, '\x5a');
  file.write(noise.data(), static_cast<std::streamsize>(noise.size()));
  file.close();
  const test::Read plain = test::read_all(path());
  ASSERT_TRUE(plain.error);
  clip::ReadAhead reader = ahead();
  for (int i = 0; i < 2; ++i) {  // and again, when asked again
    const auto frame = reader.next();
    ASSERT_FALSE(frame);
    EXPECT_EQ(frame.error().fault, plain.error->fault);
    EXPECT_EQ(frame.error().why, plain.error->why);
  }
}

}  // namespace
}  // namespace risetrace
