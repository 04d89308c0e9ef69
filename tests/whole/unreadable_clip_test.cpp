// Files that are no clip, or a strange one: exit 3 or 4, one line, nothing left behind.
#include <gtest/gtest.h>

#include "place.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

namespace fs = std::filesystem;

std::string sample(const std::string& name) { return (source_folder() / "sample-clips" / name).string(); }

// A clip made with the ffmpeg tool: its arguments but for the file.
std::string made(const Place& place, const std::string& name, Words arguments) {
  Words command = {"ffmpeg", "-v", "error", "-nostdin", "-y"};
  command.insert(command.end(), arguments.begin(), arguments.end());
  command.push_back(place / name);
  const Ran ran = run(command);
  EXPECT_EQ(ran.status, 0) << ran.err;
  return place / name;
}

std::string made_pictures(const Place& place, const std::string& name, const std::string& size, int frames) {
  return made(place, name,
              {"-f", "lavfi", "-i", "testsrc2=size=" + size + ":rate=30", "-frames:v", std::to_string(frames), "-c:v",
               "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p"});
}

// Either refused as unreadable, or measured with a note that says what is missing; a crash is neither.
void expect_cut_clip_is_handled(const std::string& clip) {
  const Place place;
  const Ran ran = risetrace_run({"measure", clip, "--quiet", "--out", place / "out"});
  if (ran.status == 0) {
    EXPECT_EQ(ran.err, "");
    const auto result = nlohmann::json::parse(read_file(place.path() / "out/result.json"));
    EXPECT_FALSE(result["notes"].empty()) << "a clip cut off was measured without a word";
    return;
  }
  expect_refused(ran, ran.status == 4 ? 4 : 3);
  EXPECT_EQ(place.holds(), Words{});
}

}  // namespace

TEST(UnreadableClip, NoFileAtAll) { expect_refused_clip("/nowhere/clip.mp4", 3, {"/nowhere/clip.mp4"}); }

TEST(UnreadableClip, NamesWithLineFeedsAndEscapesStayOneLine) {
  const std::string line = expect_refused_clip("/nowhere/a\nb\033[31m.mp4", 3, {"/nowhere/a?b?[31m.mp4"});
  EXPECT_EQ(line.find('\033'), std::string::npos);
}

TEST(UnreadableClip, AFolder) {
  const Place place;
  expect_refused_clip(place.path().string(), 3, {"folder"});
}

TEST(UnreadableClip, AnEmptyFile) {
  const Place place;
  write_file(place / "empty.mp4", "");
  expect_refused_clip(place / "empty.mp4", 3, {});
}

TEST(UnreadableClip, ATextFileNamedAsAClip) {
  const Place place;
  std::string text;
  for (int line = 0; line < 500; ++line) text += "This is a shopping list, not a film.\n";
  write_file(place / "list.mp4", text);
  expect_refused_clip(place / "list.mp4", 3, {"list.mp4"});
}

TEST(UnreadableClip, CutOffInTheMiddle) {
  const Place place;
  const std::string whole = read_file(sample("right-straight.mp4"));
  ASSERT_GT(whole.size(), 100000U);
  for (const double share : {0.999, 0.5, 0.1, 0.001}) {
    SCOPED_TRACE(share);
    write_file(place / "cut.mp4", whole.substr(0, static_cast<std::size_t>(share * static_cast<double>(whole.size()))));
    expect_cut_clip_is_handled(place / "cut.mp4");
  }
}

TEST(UnreadableClip, CutOffWithItsIndexInFront) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string clip =
      made(place, "front.mp4", {"-i", rendered(small_scene()), "-c", "copy", "-movflags", "+faststart"});
  const std::string whole = read_file(clip);
  for (const double share : {0.8, 0.5, 0.1}) {
    SCOPED_TRACE(share);
    write_file(place / "cut.mp4", whole.substr(0, static_cast<std::size_t>(share * static_cast<double>(whole.size()))));
    expect_cut_clip_is_handled(place / "cut.mp4");
  }
}

TEST(UnreadableClip, BytesSpoiltInTheMiddle) {
  const Place place;
  std::string clip = read_file(rendered(small_scene()));
  for (std::size_t i = clip.size() / 3; i < clip.size() / 2; i += 7) clip[i] = static_cast<char>(clip[i] ^ 0x5a);
  write_file(place / "spoilt.mp4", clip);
  const Ran ran = risetrace_run({"measure", place / "spoilt.mp4", "--quiet", "--out", place / "out"});
  if (ran.status != 0) expect_refused(ran, ran.status == 4 ? 4 : 3);
  EXPECT_EQ(fs::exists(place / "out"), ran.status == 0);
}

TEST(UnreadableClip, SoundOnly) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string clip = made(place, "sound.mp4", {"-f", "lavfi", "-i", "sine=frequency=440:duration=1"});
  expect_refused_clip(clip, 3, {"no picture"});
}

TEST(UnreadableClip, NoFrames) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string clip = made(place, "none.mp4", {"-i", rendered(small_scene()), "-t", "0", "-c", "copy"});
  expect_refused_clip(clip, 3, {});
}

TEST(UnreadableClip, OneFrame) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  expect_refused_clip(made_pictures(place, "one.mp4", "640x360", 1), 4, {"too short", "1 frame;"});
}

TEST(UnreadableClip, SixteenPixelsSquare) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string clip = made_pictures(place, "tiny.mp4", "16x16", 60);
  expect_refused_clip(clip, 4, {"card"});
  expect_refused_clip(clip, 4, {"no heel sticker was found"}, {"--px-per-cm", "0.5"});
}

TEST(UnreadableClip, EightK) {
  RISETRACE_NEEDS_TOOL("ffmpeg");
  const Place place;
  const std::string clip = made_pictures(place, "vast.mp4", "7680x4320", 4);
  const Ran ran = risetrace_run({"measure", clip, "--out", place / "out"});
  expect_refused(ran, ran.status == 3 ? 3 : 4, {ran.status == 3 ? "too large" : "too short"});
  EXPECT_EQ(place.holds(), Words{"vast.mp4"});
}

// Real clips that show no heel raise: read or refused, never a crash, never a set that is not there.
TEST(UnreadableClip, RealClipsOfOtherThings) {
  const fs::path folder = data_folder() / "clips";
  RISETRACE_NEEDS_DATA(folder);
  int clips = 0;
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (entry.path().extension() != ".mp4") continue;
    SCOPED_TRACE(entry.path().filename());
    ++clips;
    const Place place;
    const Ran ran =
        risetrace_run({"measure", entry.path().string(), "--px-per-cm", "10", "--quiet", "--out", place / "out"});
    if (ran.status == 0) {
      EXPECT_EQ(ran.err, "");
      continue;
    }
    expect_refused(ran, ran.status == 3 ? 3 : 4);
    EXPECT_EQ(place.holds(), Words{});
  }
  EXPECT_GT(clips, 0);
}

}  // namespace risetrace::test
