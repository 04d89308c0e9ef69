// A camera asked for its modes, the best of them, and its pictures through the program that opens it. No camera is
// there: one that answers as Linux's interface says (linux/videodev2.h) is made up, and ffmpeg's own test picture
// stands for what it films.
#include <gtest/gtest.h>
#include <linux/videodev2.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstring>
#include <tuple>

#include "clip/camera_feed.h"
#include "clip/camera_modes.h"
#include "clip/live_reader.h"
#include "place_aside.h"

namespace risetrace {
namespace {

using clip::CameraMode;
using clip::LiveReader;

struct MadeUp {
  unsigned capabilities = V4L2_CAP_VIDEO_CAPTURE | V4L2_CAP_STREAMING;
  unsigned coding = V4L2_PIX_FMT_MJPEG;
  bool any_size = false;
  bool endless = false;

  int answer(unsigned long question, void* to) const {
    if (question == VIDIOC_QUERYCAP) {
      static_cast<v4l2_capability*>(to)->capabilities = capabilities;
      return 0;
    }
    if (question == VIDIOC_ENUM_FMT) {
      auto& format = *static_cast<v4l2_fmtdesc*>(to);
      format.pixelformat = coding;
      return format.index == 0 || endless ? 0 : -1;
    }
    if (question == VIDIOC_ENUM_FRAMESIZES) return size(*static_cast<v4l2_frmsizeenum*>(to));
    if (question == VIDIOC_ENUM_FRAMEINTERVALS) return interval(*static_cast<v4l2_frmivalenum*>(to));
    return -1;
  }
  [[nodiscard]] int size(v4l2_frmsizeenum& size) const {
    if (any_size) {
      size.type = V4L2_FRMSIZE_TYPE_STEPWISE;
      size.stepwise = {32, 1280, 2, 32, 960, 2};
      return size.index == 0 ? 0 : -1;
    }
    size.type = V4L2_FRMSIZE_TYPE_DISCRETE;
    size.discrete = size.index == 0 ? v4l2_frmsize_discrete{1920, 1080} : v4l2_frmsize_discrete{1280, 720};
    return size.index < 2 || endless ? 0 : -1;
  }
  [[nodiscard]] int interval(v4l2_frmivalenum& interval) const {
    interval.type = V4L2_FRMIVAL_TYPE_DISCRETE;
    interval.discrete = interval.index == 0 ? v4l2_fract{1, 30} : v4l2_fract{1001, 60000};
    const unsigned rates = interval.height == 720 ? 2 : 1;  // of 1080 lines 30 a second and no more
    return interval.index < rates ? 0 : -1;
  }
  [[nodiscard]] clip::AskDevice asked() const {
    return [this](unsigned long question, void* to) { return answer(question, to); };
  }
};

TEST(CameraModes, AreAllThatTheDeviceNames) {
  const MadeUp camera;
  const auto modes = clip::list_modes(camera.asked(), "made up");
  ASSERT_TRUE(modes);
  ASSERT_EQ(modes->size(), 3U);
  const CameraMode best = clip::best_mode(*modes);
  EXPECT_EQ(std::tuple(best.coding, best.coded, best.width_px, best.height_px), std::tuple("mjpeg", true, 1280, 720));
  EXPECT_NEAR(best.frame_rate_hz, 59.94, 0.001);
}

TEST(CameraModes, OfACameraOfAnySizeAreTheUsualOnes) {
  MadeUp camera;
  camera.any_size = true;
  camera.coding = V4L2_PIX_FMT_YUYV;
  const auto modes = clip::list_modes(camera.asked(), "made up");
  ASSERT_TRUE(modes);
  const CameraMode best = clip::best_mode(*modes);
  EXPECT_EQ(std::tuple(best.coding, best.coded, best.height_px), std::tuple("yuyv422", false, 720));
}

TEST(CameraModes, AListWithoutAnEndIsLeft) {
  MadeUp camera;
  camera.endless = true;
  const auto modes = clip::list_modes(camera.asked(), "made up");
  EXPECT_TRUE(modes);
}

TEST(CameraModes, ADeviceThatGivesNoPicturesIsNoCamera) {
  MadeUp camera;
  camera.capabilities = V4L2_CAP_VIDEO_OUTPUT;
  EXPECT_FALSE(clip::list_modes(camera.asked(), "made up"));
  EXPECT_FALSE(clip::list_modes([](unsigned long, void*) { return -1; }, "made up"));
  const auto null = clip::modes_of_camera("/dev/null");
  ASSERT_FALSE(null);
  EXPECT_NE(sentence(null.error()).find("/dev/null: it is no camera"), std::string::npos) << sentence(null.error());
  EXPECT_FALSE(clip::modes_of_camera("/dev/no-such-camera"));
}

// A picture of 720 lines, then frames a second, then coded, then lines.
TEST(CameraModes, TheBestIsWhatMeasuresBest) {
  const auto best = [](std::vector<CameraMode> modes) {
    const CameraMode first = clip::best_mode(modes);
    std::reverse(modes.begin(), modes.end());
    const CameraMode again = clip::best_mode(modes);
    EXPECT_EQ(std::tie(again.coding, again.width_px, again.height_px, again.frame_rate_hz),
              std::tie(first.coding, first.width_px, first.height_px, first.frame_rate_hz))
        << "whatever order the camera names them in";
    return std::tuple(first.coding, first.height_px, first.frame_rate_hz);
  };
  EXPECT_EQ(best({{"mjpeg", true, 1920, 1080, 30}, {"mjpeg", true, 1280, 720, 60}}), std::tuple("mjpeg", 720, 60.0));
  EXPECT_EQ(best({{"mjpeg", true, 640, 480, 120}, {"mjpeg", true, 1280, 720, 30}}), std::tuple("mjpeg", 720, 30.0));
  EXPECT_EQ(best({{"yuyv422", false, 1280, 720, 30}, {"mjpeg", true, 1280, 720, 30}}), std::tuple("mjpeg", 720, 30.0));
  EXPECT_EQ(best({{"mjpeg", true, 3840, 2160, 30}, {"mjpeg", true, 1920, 1080, 30}}), std::tuple("mjpeg", 1080, 30.0));
  EXPECT_EQ(best({{"mjpeg", true, 640, 480, 30}, {"mjpeg", true, 320, 240, 60}, {"mjpeg", true, 160, 120, 120}}),
            std::tuple("mjpeg", 480, 30.0));
  EXPECT_EQ(best({{"mjpeg", true, 960, 720, 60}, {"mjpeg", true, 1280, 720, 60}}), std::tuple("mjpeg", 720, 60.0));
  EXPECT_EQ(best({{"mjpeg", true, 1920, 1080, 120}, {"h264", true, 1280, 720, 240}}), std::tuple("mjpeg", 1080, 120.0));
}

std::string joined(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& word : words) all += word + " ";
  return all;
}

TEST(CameraCommand, PassesOnWhatIsCodedAndCodesWhatIsRaw) {
  const std::string coded = joined(clip::camera_command("/dev/video2", CameraMode{"mjpeg", true, 1280, 720, 60}));
  EXPECT_NE(coded.find("-f v4l2 -input_format mjpeg -framerate 60.000 -video_size 1280x720 -i /dev/video2"),
            std::string::npos)
      << coded;
  EXPECT_NE(coded.find("-c:v copy"), std::string::npos);
  EXPECT_NE(joined(clip::camera_command("/dev/video2", CameraMode{"yuyv422", false, 1280, 720, 30})).find("libx264"),
            std::string::npos);
  EXPECT_EQ(joined(clip::camera_command("/dev/video2", std::nullopt)).find("-input_format"), std::string::npos);
}

struct Filmed {
  int frames = 0;
  std::optional<Error> error;
  std::optional<Note> broken_off;
};

Filmed filmed(LiveReader& reader, int stop_after = 1 << 30) {
  Filmed out;
  while (true) {
    auto next = reader.next_within(20);
    if (!next) {
      out.error = next.error();
      break;
    }
    if (next->came != LiveReader::Came::frame) break;
    if (++out.frames == stop_after) reader.stop();
  }
  out.broken_off = reader.broken_off();
  return out;
}

// The command of a camera, its device changed for a test picture.
std::vector<std::string> test_picture(const std::string& how_long, const std::optional<CameraMode>& mode) {
  std::vector<std::string> words = clip::camera_command("testsrc2=size=320x240:rate=30" + how_long, mode);
  *std::find(words.begin(), words.end(), "v4l2") = "lavfi";
  return words;
}

TEST(Camera, ThatStopsByItselfIsSaidAndWhatCameIsThere) {
  const test::FolderAside aside;
  clip::LiveOptions options;
  options.keep = aside.file("kept.mkv");
  auto reader = LiveReader::open_program(test_picture(":duration=2", std::nullopt), "the camera", options);
  ASSERT_TRUE(reader) << sentence(reader.error());
  const Filmed seen = filmed(*reader);
  EXPECT_EQ(seen.frames, 60);
  ASSERT_TRUE(seen.broken_off);
  EXPECT_EQ(seen.broken_off->code, "camera-gone");
  auto kept = clip::ClipReader::open(options.keep, {});
  ASSERT_TRUE(kept) << sentence(kept.error());
  EXPECT_EQ(kept->facts().height_px, 240);
}

TEST(Camera, ThatIsStoppedEndsAndIsNotBlamed) {
  std::vector<std::string> endless = test_picture("", std::nullopt);
  endless.insert(endless.begin() + 1, "-re");
  auto reader = LiveReader::open_program(endless, "the camera", {});
  ASSERT_TRUE(reader) << sentence(reader.error());
  const Filmed seen = filmed(*reader, 10);
  EXPECT_FALSE(seen.error) << sentence(*seen.error);
  EXPECT_FALSE(seen.broken_off);
  EXPECT_GE(seen.frames, 10);
  EXPECT_LT(seen.frames, 300);
}

TEST(Camera, ThatIsBusyIsSaidInTheProgramsWords) {
  const std::vector<std::string> busy{"sh", "-c",
                                      "echo first >&2; echo '/dev/video0: Device or resource busy' >&2; exit 1"};
  auto reader = LiveReader::open_program(busy, "/dev/video0", {});
  ASSERT_TRUE(reader);
  const Filmed seen = filmed(*reader);
  ASSERT_TRUE(seen.error);
  EXPECT_NE(sentence(*seen.error).find("/dev/video0 gives no pictures: /dev/video0: Device or resource busy"),
            std::string::npos)
      << sentence(*seen.error);
}

TEST(Camera, WithoutTheProgramThatOpensIt) {
  const auto reader = LiveReader::open_program({"no-such-program-here"}, "/dev/video0", {});
  ASSERT_FALSE(reader);
  EXPECT_NE(sentence(reader.error()).find("install it"), std::string::npos);
}

// More than a pipe holds, which nobody reads before the end: the last line is the one that tells why.
TEST(Camera, AProgramThatComplainsMuchIsNotHeldUpAndItsLastWordsAreKept) {
  const std::vector<std::string> loud{"sh", "-c",
                                      "i=0; while [ $i -lt 20000 ]; do echo 'a long complaint about nothing' >&2; "
                                      "i=$((i+1)); done; echo 'No such device' >&2"};
  auto reader = LiveReader::open_program(loud, "/dev/video0", {});
  ASSERT_TRUE(reader);
  const Filmed seen = filmed(*reader);
  ASSERT_TRUE(seen.error);
  EXPECT_NE(sentence(*seen.error).find("/dev/video0 gives no pictures: No such device;"), std::string::npos)
      << sentence(*seen.error);
}

TEST(Camera, AProgramThatWillNotGoIsMadeTo) {
  const auto began = std::chrono::steady_clock::now();
  {
    auto feed = clip::Feed::start({"sh", "-c", "trap '' TERM; while :; do echo still here >&2; sleep 0.05; done"});
    ASSERT_TRUE(feed);
    ::close(feed->take_output());
    ::usleep(300'000);  // until the trap is set
    EXPECT_EQ(feed->last_words(), "still here");
  }
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(20));
}

// A raw camera's pictures come when they come, not at the rate that it says: 25 a second where it says 30.
TEST(Camera, ARawPictureKeepsItsOwnTime) {
  auto words = test_picture(":duration=2", std::nullopt);
  const auto after_input = std::next(std::find(words.begin(), words.end(), "-i"), 2);
  words.insert(after_input, {"-vf", "settb=1/1000,setpts=PTS*1.2"});
  auto reader = LiveReader::open_program(words, "the camera", {});
  ASSERT_TRUE(reader) << sentence(reader.error());
  std::vector<double> times_s;
  while (true) {
    auto next = reader->next_within(20);
    ASSERT_TRUE(next) << sentence(next.error());
    if (next->came != LiveReader::Came::frame) break;
    times_s.push_back(next->frame->time_s);
  }
  ASSERT_EQ(times_s.size(), 60U);
  for (std::size_t i = 0; i < times_s.size(); ++i) EXPECT_NEAR(times_s[i], 0.04 * static_cast<double>(i), 0.0011) << i;
}

}  // namespace
}  // namespace risetrace
