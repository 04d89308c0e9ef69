// Files that are no clip, or not the whole of one.
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <cmath>
#include <cstring>

#include "drawn.h"
#include "mp4_boxes.h"
#include "place_aside.h"
#include "read_all.h"

namespace risetrace {
namespace {

Fault fault_of(const std::string& path, const clip::ReadOptions& options = {}) {
  const test::Read read = test::read_all(path, options);
  return read.error ? read.error->fault : Fault::defect;
}

void write_text(const std::string& path, const std::string& text) {
  test::write_bytes(path, std::vector<char>(text.begin(), text.end()));
}

report::ClipWriterOptions small_clip(report::Codec codec = report::Codec::h264) {
  report::ClipWriterOptions options;
  options.codec = codec;
  options.width = 192;
  options.height = 128;
  options.bit_rate_mbps = 2.0;
  return options;
}

TEST(Refusal, OnlyPlainFilesAreOpened) {
  const test::FolderAside aside;
  EXPECT_EQ(fault_of(aside.file("none.mp4")), Fault::clip_missing);
  EXPECT_EQ(fault_of(aside.file("")), Fault::clip_missing);
  EXPECT_EQ(fault_of("/dev/null"), Fault::clip_missing);
  EXPECT_EQ(fault_of(""), Fault::clip_missing);
  const std::string pipe = aside.file("pipe.mp4");
  ASSERT_EQ(mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_EQ(fault_of(pipe), Fault::clip_missing);  // and does not wait for a writer
}

TEST(Refusal, AddressesAndJoinedFilesAreNoFiles) {
  const test::FolderAside aside;
  const std::string clip = aside.file("clip.mp4");
  ASSERT_TRUE(test::write_clip(clip, small_clip(), test::steady_times(5, 60.0)));
  for (const std::string& path : {"concat:" + clip + "|" + clip, "file:" + clip, "subfile,,start,0,end,0,,:" + clip,
                                  std::string("http://127.0.0.1:9/clip.mp4"), "cache:" + clip, "crypto:" + clip}) {
    EXPECT_EQ(fault_of(path), Fault::clip_missing) << path;
  }
  const std::string colon = aside.file("concat:a|b.mp4");  // a file may be called that
  ASSERT_TRUE(test::write_clip(colon, small_clip(), test::steady_times(5, 60.0)));
  EXPECT_EQ(test::read_all(colon).facts.frames, 5);
}

TEST(Refusal, PlaylistsReachNoOtherFile) {
  const test::FolderAside aside;
  const std::string clip = aside.file("clip.mp4");
  ASSERT_TRUE(test::write_clip(clip, small_clip(), test::steady_times(5, 60.0)));
  const std::string playlist = "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n" + clip + "\n#EXT-X-ENDLIST\n";
  const std::string joined = "ffconcat version 1.0\nfile '" + clip + "'\n";
  for (const char* name : {"list.m3u8", "list.mp4", "list.mkv", "list%03d.mp4"}) {
    for (const std::string& text : {playlist, joined, std::string("just a letter to a friend, long enough")}) {
      write_text(aside.file(name), text);
      const test::Read read = test::read_all(aside.file(name));
      ASSERT_TRUE(read.error);
      EXPECT_EQ(read.error->fault, Fault::clip_unreadable);
    }
  }
}

TEST(Refusal, EmptyAndTinyFiles) {
  const test::FolderAside aside;
  write_text(aside.file("empty.mp4"), "");
  EXPECT_EQ(fault_of(aside.file("empty.mp4")), Fault::clip_unreadable);
  for (int length = 1; length < 64; ++length) {
    write_text(aside.file("tiny.mp4"), (std::string("\0\0\0\x18"
                                                    "ftypisom\0\0\2\0isomiso2\0\0\0\x08mdat",
                                                    32) +
                                        std::string(64, 'x'))
                                           .substr(0, static_cast<std::size_t>(length)));
    EXPECT_EQ(fault_of(aside.file("tiny.mp4")), Fault::clip_unreadable) << length;
  }
}

TEST(Refusal, OptionsAreChecked) {
  const test::FolderAside aside;
  const std::string clip = aside.file("clip.mp4");
  ASSERT_TRUE(test::write_clip(clip, small_clip(), test::steady_times(5, 60.0)));
  EXPECT_EQ(fault_of(clip, {.capture_fps = 0.5}), Fault::option_wrong);
  EXPECT_EQ(fault_of(clip, {.capture_fps = std::nan("")}), Fault::option_wrong);
  EXPECT_EQ(fault_of(clip, {.capture_fps = {}, .threads = -1}), Fault::option_wrong);
}

TEST(Refusal, SoundAloneIsNoPicture) {
  const test::FolderAside aside;
  const std::string path = aside.file("sound.mp4");
  report::ClipWriterOptions options = small_clip();
  options.sound_rate_hz = 48000;
  ASSERT_TRUE(test::write_clip(path, options, test::steady_times(30, 60.0)));
  auto bytes = test::bytes_of(path);
  const std::size_t track = test::find_box(bytes, "trak");  // the picture's, which this writer puts first
  ASSERT_NE(track, std::string::npos);
  std::memcpy(bytes.data() + track, "free", 4);
  test::write_bytes(path, bytes);
  EXPECT_EQ(fault_of(path), Fault::clip_no_picture);
}

TEST(Refusal, TooManyPixelsByTheContainer) {
  const test::FolderAside aside;
  const std::string path = aside.file("huge.mp4");
  ASSERT_TRUE(test::write_clip(path, small_clip(), test::steady_times(3, 60.0)));
  auto bytes = test::bytes_of(path);
  const std::size_t entry = test::find_box(bytes, "avc1", test::find_box(bytes, "stsd"));
  ASSERT_NE(entry, std::string::npos);
  const char size[4] = {0x3F, 0x00, 0x3F, 0x00};  // 16128 x 16128, 28 bytes into the entry (ISO/IEC 14496-12, 12.1.3)
  std::memcpy(bytes.data() + entry + 28, size, 4);
  test::write_bytes(path, bytes);
  EXPECT_EQ(fault_of(path), Fault::clip_too_large);
}

TEST(CutOff, Mp4WithoutItsIndexSaysSo) {
  const test::FolderAside aside;
  ASSERT_TRUE(test::write_clip(aside.file("whole.mp4"), small_clip(), test::steady_times(60, 60.0)));
  const auto bytes = test::bytes_of(aside.file("whole.mp4"));
  const std::size_t index_at = test::find_box(bytes, "moov") - 4;  // this writer puts it last
  for (std::size_t length = 40; length < bytes.size(); length += 97) {
    test::write_bytes(aside.file("cut.mp4"),
                      std::vector<char>(bytes.begin(), bytes.begin() + static_cast<long>(length)));
    const test::Read read = test::read_all(aside.file("cut.mp4"));
    ASSERT_TRUE(read.error) << length << " of " << bytes.size() << ", index at " << index_at;
    EXPECT_EQ(read.error->fault, Fault::clip_unreadable) << length;
    EXPECT_NE(read.error->why.find("ends before its index"), std::string::npos) << length << read.error->why;
  }
}

TEST(CutOff, WhatIsThereIsReadAndTheRestIsSaidToBeMissing) {
  const test::FolderAside aside;
  for (const char* name : {"whole.mkv", "whole.avi", "whole.mp4", "whole.webm"}) {
    const bool webm = std::string(name).ends_with("webm");
    ASSERT_TRUE(test::write_clip(aside.file(name), small_clip(webm ? report::Codec::vp9 : report::Codec::h264),
                                 test::steady_times(60, 60.0)));
    auto bytes = test::bytes_of(aside.file(name));
    if (std::string(name).ends_with("mp4")) bytes = test::index_first(bytes);
    const std::string cut = aside.file("cut") + std::filesystem::path(name).extension().string();
    test::write_bytes(cut, bytes);
    ASSERT_EQ(test::read_all(cut).facts.frames, 60) << name;
    ASSERT_EQ(test::read_all(cut).note("clip-cut-off"), nullptr) << name;
    std::int64_t most = 0;
    for (std::size_t length = 16; length + 1 < bytes.size(); length += bytes.size() / 61) {
      test::write_bytes(cut, std::vector<char>(bytes.begin(), bytes.begin() + static_cast<long>(length)));
      const test::Read read = test::read_all(cut);
      if (read.error) {
        EXPECT_TRUE(read.error->fault == Fault::clip_unreadable || read.error->fault == Fault::clip_no_frames ||
                    read.error->fault == Fault::clip_no_picture)
            << name << " " << length << sentence(*read.error);
        continue;
      }
      EXPECT_NE(read.note("clip-cut-off"), nullptr) << name << " " << length << " of " << bytes.size();
      EXPECT_GE(read.facts.frames, most) << name << " " << length;
      most = read.facts.frames;
    }
    EXPECT_GE(most, 55) << name;
  }
}

TEST(Damage, DamagedPicturesAndThoseBuiltOnThemAreLeftOut) {
  const test::FolderAside aside;
  report::ClipWriterOptions options = small_clip();
  options.rate_hz = 10.0;  // nominal; makes every tenth picture a key picture
  ASSERT_TRUE(test::write_clip(aside.file("whole.mp4"), options, test::steady_times(60, 60.0)));
  auto bytes = test::bytes_of(aside.file("whole.mp4"));
  const std::size_t data = test::find_box(bytes, "mdat");
  const std::size_t index = test::find_box(bytes, "moov");
  for (std::size_t at = data + (index - data) / 2; at < data + (index - data) / 2 + 600; ++at) {
    bytes[at] = static_cast<char>(bytes[at] ^ 0x5A);
  }
  test::write_bytes(aside.file("damaged.mp4"), bytes);
  const test::Read read = test::read_all(aside.file("damaged.mp4"), {}, true);
  ASSERT_FALSE(read.error);
  const Note* note = read.note("frames-damaged");
  ASSERT_NE(note, nullptr);
  EXPECT_NEAR(note->t_s.value_or(-1.0), 0.5, 0.2);
  EXPECT_LT(read.facts.frames, 60);
  EXPECT_GE(read.facts.frames, 40);
  EXPECT_EQ(read.facts.frames_missing, 60 - read.facts.frames);
  for (const clip::Frame& frame : read.frames) {  // what is handed out is whole
    const int number = static_cast<int>(std::lround(frame.time_s * 60.0));
    const clip::Patch corner = clip::upright_patch(frame, {150, 100, 36, 24});
    for (const float grey : corner.grey) ASSERT_NEAR(grey, 40 + 8 * (number % 20), 8.0) << "picture " << number;
  }
}

TEST(Damage, ReadingGoesOnAtAKeyPicture) {
  const test::FolderAside aside;
  report::ClipWriterOptions options = small_clip();
  options.rate_hz = 10.0;  // as above: pictures 0, 10, 20 ... stand alone
  ASSERT_TRUE(test::write_clip(aside.file("whole.mp4"), options, test::steady_times(60, 60.0)));
  const auto whole = test::bytes_of(aside.file("whole.mp4"));
  const std::size_t data = test::find_box(whole, "mdat") + 4;
  const std::size_t index = test::find_box(whole, "moov");
  int gaps = 0;
  for (std::size_t from = data + 900; from + 900 < index; from += 331) {
    auto bytes = whole;
    for (std::size_t at = from; at < from + 60; ++at) bytes[at] = static_cast<char>(bytes[at] ^ 0x5A);
    test::write_bytes(aside.file("damaged.mp4"), bytes);
    const test::Read read = test::read_all(aside.file("damaged.mp4"));
    ASSERT_FALSE(read.error);
    for (std::size_t i = 1; i < read.times_s.size(); ++i) {
      const auto number = std::lround(read.times_s[i] * 60.0);
      if (number == std::lround(read.times_s[i - 1] * 60.0) + 1) continue;
      ++gaps;
      EXPECT_EQ(number % 10, 0) << "after damage at byte " << from;
    }
  }
  EXPECT_GT(gaps, 3);  // else the damage was not seen at all
}

TEST(Sha256, AgreesWithPublishedDigests) {
  const test::FolderAside aside;
  const auto digest = [&aside](const std::string& text) {
    write_text(aside.file("text"), text);
    return clip::sha256_of_file(aside.file("text")).value();
  };
  // NIST, FIPS 180-4 example values: the empty message, "abc", and a million times "a".
  EXPECT_EQ(digest(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(digest("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(digest(std::string(1000000, 'a')), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  EXPECT_EQ(clip::sha256_of_file(aside.file("none")).error().fault, Fault::clip_missing);
}

}  // namespace
}  // namespace risetrace
