#include "report/frames_clip.h"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "clip/read_clip.h"
#include "report/sample_hops.h"
#include "report/sample_measurement.h"
#include "report/schema_check.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;

constexpr int stored_width = 128;
constexpr int stored_height = 96;
constexpr int frames = 40;

// A picture whose every frame has a level of its own, with a bright square that the sticker's place is known by.
struct Drawn {
  std::vector<std::uint8_t> luma = std::vector<std::uint8_t>(stored_width * stored_height);
  std::vector<std::uint8_t> chroma = std::vector<std::uint8_t>(stored_width * stored_height / 4, 128);

  clip::Frame frame(int number, clip::Orientation orientation, Point upright_px) {
    clip::Frame out;
    out.number = number;
    out.time_s = number / 240.0;
    out.orientation = orientation;
    const bool turned = orientation.quarter_turns_cw % 2 != 0;
    out.width_px = turned ? stored_height : stored_width;
    out.height_px = turned ? stored_width : stored_height;
    out.luma = {luma.data(), stored_width, stored_width, stored_height};
    for (auto& plane : out.chroma) plane = {chroma.data(), stored_width / 2, stored_width / 2, stored_height / 2};
    std::fill(luma.begin(), luma.end(), static_cast<std::uint8_t>(40 + 2 * number));
    const Point at = clip::stored_from_upright(out, upright_px);
    for (int y = -4; y <= 4; ++y) {
      for (int x = -4; x <= 4; ++x) {
        const auto row = static_cast<std::size_t>(std::lround(at.y) + y);
        const auto column = static_cast<std::size_t>(std::lround(at.x) + x);
        if (row < stored_height && column < stored_width) luma[row * stored_width + column] = 220;
      }
    }
    return out;
  }
};

Point sticker_in(int number) { return {50.0 + 0.3 * number, 40.0 + 4 * std::sin(number / 6.0)}; }

measure::Measurement followed(int width_px, int height_px) {
  measure::Measurement m;
  m.clip.width_px = width_px;
  m.clip.height_px = height_px;
  m.clip.frames = frames;
  m.clip.frame_rate_hz = 240;
  m.track.radius_px = 4;
  for (int i = 0; i < frames; ++i) m.track.samples.push_back({i, i / 240.0, sticker_in(i), true, false, 0.9});
  return m;
}

class FramesClips : public testing::TestWithParam<clip::Orientation> {
 protected:
  FramesClips() { fs::create_directories(folder_); }
  ~FramesClips() override { fs::remove_all(folder_); }

  std::vector<clip::GreyPicture> written(const std::string& name) {
    std::vector<clip::GreyPicture> out;
    auto reader = clip::ClipReader::open((folder_ / name).string(), {});
    EXPECT_TRUE(reader.ok());
    while (reader) {
      const auto next = reader->next();
      EXPECT_TRUE(next.ok());
      if (!next || !next->has_value()) break;
      EXPECT_NEAR((*next)->time_s, static_cast<double>(out.size()) / 30.0, 1e-4) << "frame N begins at N/30";
      out.push_back(clip::upright_picture(**next));
    }
    return out;
  }

  fs::path folder_ =
      fs::temp_directory_path() / ("risetrace-frames-" + std::to_string(::getpid()) + "-" +
                                   testing::UnitTest::GetInstance()->current_test_info()->name()[0] +
                                   std::to_string(GetParam().quarter_turns_cw * 2 + (GetParam().mirrored ? 1 : 0)));
};

}  // namespace

TEST_P(FramesClips, HoldEveryFrameOnceUprightAndInItsPlace) {
  Drawn drawn;
  const clip::Frame first = drawn.frame(0, GetParam(), sticker_in(0));
  const measure::Measurement m = followed(first.width_px, first.height_px);
  auto writer = FramesClip::create(folder_, m, first);
  ASSERT_TRUE(writer.ok()) << writer.error().why;
  for (int i = 0; i < frames; ++i) ASSERT_TRUE(writer->add(drawn.frame(i, GetParam(), sticker_in(i))).ok());
  ASSERT_TRUE(writer->finish().ok());

  std::ostringstream text;
  text << std::ifstream(folder_ / "frames.json").rdbuf();
  EXPECT_EQ(test::misfit("frames.schema.json", text.str()), "");
  const auto about = nlohmann::json::parse(text.str());
  EXPECT_EQ(about["frames"], frames);
  EXPECT_EQ(about["width"], first.width_px) << "a small picture stays as it is";
  const auto whole = written("frames.mp4");
  const auto foot = written("foot.mp4");
  ASSERT_EQ(whole.size(), static_cast<std::size_t>(frames));
  ASSERT_EQ(foot.size(), static_cast<std::size_t>(frames));
  const int size = about["foot_size"];
  for (int i = 0; i < frames; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const auto grey = [](const clip::GreyPicture& p, int x, int y) {
      return static_cast<int>(p.grey[static_cast<std::size_t>(y * p.width + x)]);
    };
    const Point sticker = sticker_in(i);
    const int x = static_cast<int>(std::lround(sticker.x));
    const int y = static_cast<int>(std::lround(sticker.y));
    const int level = grey(whole[at], 2, 2);
    if (i > 0) {
      EXPECT_GT(level, grey(whole[at - 1], 2, 2)) << "the frames are told apart by their level, frame " << i;
    }
    EXPECT_GT(grey(whole[at], x, y), level + 60);
    const int x0 = about["foot"][at][0];
    const int y0 = about["foot"][at][1];
    EXPECT_EQ(x0 % 2 + y0 % 2, 0);
    ASSERT_TRUE(x - x0 > 0 && x - x0 < size && y - y0 > 0 && y - y0 < size);
    EXPECT_GT(grey(foot[at], x - x0, y - y0), level + 60);
  }
}

INSTANTIATE_TEST_SUITE_P(HowTheClipWasHeld, FramesClips,
                         testing::Values(clip::Orientation{0, false}, clip::Orientation{1, false},
                                         clip::Orientation{2, false}, clip::Orientation{3, false},
                                         clip::Orientation{0, true}, clip::Orientation{1, true}),
                         [](const auto& held) {
                           return "Turned" + std::to_string(90 * held.param.quarter_turns_cw) +
                                  (held.param.mirrored ? "Mirrored" : "");
                         });

TEST(FootView, LiesInsideThePictureAndFollowsSmoothly) {
  for (const measure::Measurement& m : {test::sample_measurement(), test::sample_hops()}) {
    const FootView view = foot_view(m);
    ASSERT_EQ(view.corners.size(), static_cast<std::size_t>(m.clip.frames));
    EXPECT_GT(view.size_px, 100);
    for (std::size_t i = 0; i < view.corners.size(); ++i) {
      const auto& corner = view.corners[i];
      EXPECT_TRUE(corner.x >= 0 && corner.x + view.size_px <= m.clip.width_px);
      EXPECT_TRUE(corner.y >= 0 && corner.y + view.size_px <= m.clip.height_px);
      if (i == 0) continue;
      EXPECT_LE(std::abs(corner.x - view.corners[i - 1].x), 8);
      EXPECT_LE(std::abs(corner.y - view.corners[i - 1].y), 8);
    }
  }
}

TEST(FootView, StaysWhereTheStickerWasSeenLast) {
  measure::Measurement m = followed(640, 480);
  for (int i = 20; i < frames; ++i) m.track.samples[static_cast<std::size_t>(i)].seen = false;
  m.clip.frame_rate_hz = 1;  // no smoothing over the gap
  const FootView view = foot_view(m);
  EXPECT_EQ(view.corners[25].x, view.corners[35].x);
  for (auto& sample : m.track.samples) sample.seen = false;
  EXPECT_EQ(foot_view(m).size_px, 0) << "nothing was followed";
}

}  // namespace risetrace::report
