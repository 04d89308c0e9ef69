// Real clips from phones and from other programs' test data (their sources and licences: the data folder's README.md).
// Expected values: ffprobe 5.1 (ffprobe -show_frames, -show_streams) and the boxes of the files themselves read by hand
// (elst, stts), unless a line says otherwise.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <memory>

#include "../clip/read_all.h"
#include "../place.h"

namespace risetrace {
namespace {

struct Known {
  const char* file;
  const char* codec;
  int width_px, height_px, rotation_deg, bits;
  bool full_range;
  std::int64_t frames;
  double last_time_s;  // of the last frame shown, as filmed
  double duration_s;
  double frame_rate_hz;
  bool from_tag;
  double stretch;
  bool irregular;
  std::int64_t missing;
};

void PrintTo(const Known& known, std::ostream* out) { *out << known.file; }

std::filesystem::path clip_path(const char* file) { return test::data_folder() / "clips" / file; }

class RealClip : public ::testing::TestWithParam<Known> {};

TEST_P(RealClip, FactsAreThoseOfFfprobe) {
  const Known& known = GetParam();
  RISETRACE_NEEDS_DATA(clip_path(known.file));
  const test::Read read = test::read_all(clip_path(known.file).string(), {}, known.frames < 20);
  ASSERT_FALSE(read.error) << sentence(*read.error);
  const clip::ClipFacts& facts = read.facts;
  EXPECT_EQ(facts.file, known.file);
  EXPECT_EQ(facts.codec, known.codec);
  EXPECT_EQ(facts.width_px, known.width_px);
  EXPECT_EQ(facts.height_px, known.height_px);
  EXPECT_EQ(facts.rotation_deg, known.rotation_deg);
  EXPECT_FALSE(facts.mirrored);
  EXPECT_EQ(facts.frames, known.frames);
  ASSERT_EQ(static_cast<std::int64_t>(read.times_s.size()), known.frames);
  EXPECT_EQ(read.times_s.front(), 0.0);
  EXPECT_NEAR(read.times_s.back(), known.last_time_s, 2e-6);
  EXPECT_NEAR(facts.duration_s, known.duration_s, 2e-6);
  EXPECT_NEAR(facts.frame_rate_hz, known.frame_rate_hz, 1e-3);
  EXPECT_EQ(facts.frame_rate_from, known.from_tag ? clip::FrameRateFrom::capture_tag : clip::FrameRateFrom::container);
  EXPECT_NEAR(facts.stretch, known.stretch, 1e-9);
  EXPECT_EQ(facts.timing_irregular, known.irregular);
  EXPECT_EQ(facts.frames_missing, known.missing);
  EXPECT_EQ(facts.steps_zero, 0);
  EXPECT_EQ(read.note("clip-cut-off"), nullptr);
  EXPECT_EQ(read.note("frames-damaged"), nullptr);
  EXPECT_EQ(read.note("clock-may-be-stretched"), nullptr);
  for (const clip::Frame& frame : read.frames) {
    EXPECT_EQ(frame.bits, known.bits);
    EXPECT_EQ(frame.full_range, known.full_range);
  }
}

// portrait_4k60: 13 of its 17 steps are 1498 or 1499 ticks, the others up to 54 ticks off.
// 137 x 72439 / 8694000; 30 x 1000 / 29917 (the README's 1.0028 s); 126 x 1001 / 30000.
// The slow motion clips: file times divided by 240 / 30. Edit lists start at media time 273 of 600 and 26642 of 90000.
INSTANTIATE_TEST_SUITE_P(
    Outside, RealClip,
    ::testing::Values(Known{"ball-throw-120fps.mp4", "h264", 1080, 1920, 0, 8, false, 138, 9924143.0 / 8694000.0,
                            138 * 72439.0 / 8694000.0, 8694000.0 / 72439.0, false, 1.0, false, 0},
                      Known{"hdr10-av1.mp4", "av1", 720, 1280, 0, 10, false, 127, 126126.0 / 30000.0,
                            127127.0 / 30000.0, 30000.0 / 1001.0, false, 1.0, false, 0},
                      Known{"portrait_4k60.mp4", "h264", 2160, 3840, 90, 8, true, 18, 25476.0 / 90000.0,
                            26974.0 / 90000.0, 90000.0 * 13 / (6 * 1498 + 7 * 1499), false, 1.0, true, 0},
                      Known{"sample_android_slow_motion.mp4", "h264", 1280, 720, 0, 8, true, 7, 44281.0 / 90000.0 / 8.0,
                            47281.0 / 90000.0 / 8.0, 240.0, true, 8.0, true, 9},
                      Known{"sample_edit_list.mp4", "hevc", 1080, 1920, 90, 10, false, 77, 1521.0 / 600.0,
                            1541.0 / 600.0, 29.9803, false, 1.0, false, 0},
                      Known{"sample_edit_list_no_sync_frame_before_edit.mp4", "hevc", 1080, 1920, 90, 10, false, 68,
                            207150.0 / 90000.0, 210153.0 / 90000.0, 30.0, false, 1.0, true, 2},
                      Known{"sample_sef_slow_motion.mp4", "h264", 320, 240, 0, 8, false, 63, 186000.0 / 90000.0 / 8.0,
                            189000.0 / 90000.0 / 8.0, 240.0, true, 8.0, false, 0},
                      Known{"sample_sef_super_slow_motion.mp4", "h264", 160, 120, 0, 8, false, 435, 1302000.0 / 90000.0,
                            1305000.0 / 90000.0, 30.0, false, 1.0, false, 0},
                      Known{"testvid_1022ms.mp4", "h264", 480, 360, 0, 8, false, 30, 29000.0 / 29917.0,
                            30000.0 / 29917.0, 29.917, false, 1.0, false, 0}));

// Frame times in seconds as ffprobe prints them, or nothing where it is not installed.
std::vector<double> ffprobe_times(const std::filesystem::path& clip) {
  const std::string command = "ffprobe -v error -select_streams v:0 -show_entries frame=best_effort_timestamp,pts " +
                              std::string("-of compact=p=0:nk=1 '") + clip.string() + "' 2>/dev/null";
  std::vector<double> times;
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), &pclose);  // NOLINT(cert-env33-c)
  std::array<char, 256> line{};
  while (pipe && std::fgets(line.data(), line.size(), pipe.get()) != nullptr) {
    char* end = nullptr;
    const double ticks = std::strtod(line.data(), &end);
    if (end != line.data()) times.push_back(ticks);
  }
  return times;
}

TEST_P(RealClip, EveryTimeIsThatOfFfprobe) {
  const Known& known = GetParam();
  RISETRACE_NEEDS_DATA(clip_path(known.file));
  const auto ticks = ffprobe_times(clip_path(known.file));
  if (ticks.empty()) GTEST_SKIP() << "ffprobe is not installed";
  const test::Read read = test::read_all(clip_path(known.file).string());
  ASSERT_EQ(read.times_s.size(), ticks.size());
  // The last time fixes the tick, every other one is then compared.
  const double tick_s = known.last_time_s / (ticks.back() - ticks.front());
  for (std::size_t i = 0; i < ticks.size(); ++i) {
    EXPECT_NEAR(read.times_s[i], (ticks[i] - ticks.front()) * tick_s, 1e-9) << "frame " << i;
  }
}

}  // namespace
}  // namespace risetrace
