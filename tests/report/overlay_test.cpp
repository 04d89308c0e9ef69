#include "report/overlay.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cmath>
#include <cstring>
#include <filesystem>
#include <numbers>

#include "clip/read_clip.h"
#include "report/made_frames.h"
#include "report/overlay_drawing.h"
#include "report/pixel.h"
#include "report/sample_measurement.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;

using test::colour_at;
using test::Rgb;

TEST(PictureCanvas, StandsUprightInEveryOrientationAndDepth) {
  for (int turns = 0; turns < 4; ++turns) {
    for (const bool mirrored : {false, true}) {
      for (const int bits : {8, 10}) {
        SCOPED_TRACE(testing::Message() << turns << " turns, mirrored " << mirrored << ", " << bits << " bits");
        const test::FrameShape shape{400, 720, {turns, mirrored}, bits, true};
        const clip::Frame frame = test::made_frame(shape, 0, 0, {101, 203});
        PictureCanvas canvas(frame, 640, 1280);
        ASSERT_EQ(canvas.width(), 400);
        ASSERT_EQ(canvas.height(), 720);
        ASSERT_TRUE(canvas.load(frame));
        const Point heel = canvas.from_upright({101, 203});
        const Rgb disc = colour_at(canvas, heel.x, heel.y);
        EXPECT_GT(disc.green, 235);
        EXPECT_LT(colour_at(canvas, heel.x + 18, heel.y).green, 30);  // the ring
        EXPECT_LT(colour_at(canvas, heel.x, heel.y - 18).green, 30);
        const Rgb wall = colour_at(canvas, 350, 300);
        EXPECT_NEAR(wall.red, wall.blue, 6);
        const Rgb floor = colour_at(canvas, 350, 600);
        EXPECT_GT(floor.red, floor.blue + 60);  // Cr above, Cb below the middle: orange
      }
    }
  }
}

TEST(PictureCanvas, GreyFramesStayGreyAndSizesStayEvenAndBounded) {
  const test::FrameShape shape{2161, 3839, {}, 8, false};
  const clip::Frame large = test::made_frame(shape, 0, 0, {300, 300});
  PictureCanvas canvas(large, 640, 1280);
  EXPECT_EQ(canvas.height(), 1280);
  EXPECT_EQ(canvas.width() % 2, 0);
  ASSERT_TRUE(canvas.load(large));
  const Rgb wall = colour_at(canvas, 600, 100);
  EXPECT_EQ(wall.red, wall.green);
  EXPECT_EQ(wall.red, wall.blue);
}

class DrawnUpon : public testing::Test {
 protected:
  // The picture of the sample's frame at this time, with everything drawn.
  void draw(const measure::Measurement& m, double time_s) {
    const auto number = static_cast<std::size_t>(std::lround(time_s * 60));
    const test::FrameShape shape;
    heel_px_ = m.track.samples[number].px;
    const clip::Frame frame = test::made_frame(shape, static_cast<std::int64_t>(number), time_s, heel_px_);
    canvas_ = std::make_unique<PictureCanvas>(frame, 640, 1280);
    ASSERT_TRUE(canvas_->load(frame));
    OverlayDrawing(m, *canvas_).draw(canvas_->ink(), frame.number, time_s);
  }
  // Share of pixels along the ring that are of its colour.
  double ring_share(double radius) {
    const Point centre = canvas_->from_upright(heel_px_);
    int bright = 0;
    for (int i = 0; i < 360; ++i) {
      const double angle = i * std::numbers::pi / 180;
      const Rgb pixel = colour_at(*canvas_, centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle));
      if (pixel.blue > 200) ++bright;
    }
    return bright / 360.0;
  }

  std::unique_ptr<PictureCanvas> canvas_;
  Point heel_px_;
};

TEST_F(DrawnUpon, ARingStandsRoundTheStickerAndIsBrokenWhereItWasBridged) {
  const measure::Measurement m = test::sample_measurement();
  const double radius = m.track.radius_px * 720.0 / 1080.0 * 1.9;
  draw(m, 5.0);
  EXPECT_GT(ring_share(radius), 0.95);
  EXPECT_LT(ring_share(radius * 1.25), 0.3);
  draw(m, 405 / 60.0);  // bridged in the sample
  EXPECT_GT(ring_share(radius), 0.3);
  EXPECT_LT(ring_share(radius), 0.8);
}

TEST_F(DrawnUpon, TheBannerComesAtTheSetsEndAndStays) {
  const measure::Measurement m = test::sample_measurement();
  const double end_s = m.raises->set_end.t_s;
  const auto banner_is_there = [&] {
    const Rgb stripe = colour_at(*canvas_, 3.5 * 7.2, 41 * 7.2);
    return stripe.red > 220 && stripe.green < 200 && stripe.blue < 120;
  };
  draw(m, end_s - 0.1);
  EXPECT_FALSE(banner_is_there());
  draw(m, end_s + 0.1);
  EXPECT_TRUE(banner_is_there());
  draw(m, end_s + 2.0);
  EXPECT_TRUE(banner_is_there());
}

TEST_F(DrawnUpon, ALowRepIsMarkedOnceItsPeakHasPassed) {
  const measure::Measurement m = test::sample_measurement();
  const auto low_pixels = [&] {
    int found = 0;
    for (int y = 24; y < 230; ++y) {
      for (int x = 24; x < 290; ++x) {
        const Rgb pixel = colour_at(*canvas_, x, y);
        if (pixel.red > 220 && pixel.blue < 110) ++found;
      }
    }
    return found;
  };
  draw(m, m.raises->reps[9].peak_s + 0.1);
  EXPECT_GT(low_pixels(), 500);
  draw(m, m.raises->reps[8].peak_s + 0.1);
  EXPECT_EQ(low_pixels(), 0);
}

TEST_F(DrawnUpon, WithoutAScaleOnlyTheStickerAndTheStrip) {
  const measure::Measurement m = test::sample_without_scale();
  draw(m, 5.0);
  EXPECT_GT(ring_share(m.track.radius_px * 720.0 / 1080.0 * 1.9), 0.95);
  EXPECT_GT(colour_at(*canvas_, 60, 60).red, 140);  // no panel over the wall
}

class OverlayFile : public testing::Test {
 protected:
  void SetUp() override { file_ = fs::temp_directory_path() / ("overlay-" + std::to_string(::getpid()) + ".mp4"); }
  void TearDown() override { fs::remove(file_); }

  static NextFrame frames(int count, double rate_hz) {
    return [count, rate_hz, i = 0]() mutable -> Result<std::optional<clip::Frame>> {
      if (i == count) return std::optional<clip::Frame>{};
      const test::FrameShape shape{360, 640, {1, false}, 8, true};
      const int number = i++;
      return std::optional(test::made_frame(shape, number, number / rate_hz, {120, 300}));
    };
  }

  fs::path file_;
};

TEST_F(OverlayFile, IsThinnedToSixtyAndPlaysAtTheSpeedOfFilming) {
  measure::Measurement m = test::sample_measurement();
  m.clip.frame_rate_hz = 240;
  double last_share = 0;
  Watcher watcher;
  watcher.on_progress = [&](const Progress& progress) { last_share = progress.share; };
  const auto wrote = write_overlay(file_.string(), m, frames(96, 240), watcher);
  ASSERT_TRUE(wrote) << sentence(wrote.error());
  EXPECT_GT(last_share, 0);
  auto reader = clip::ClipReader::open(file_.string(), {});
  ASSERT_TRUE(reader) << sentence(reader.error());
  std::vector<double> times_s;
  for (auto frame = reader->next(); frame && frame->has_value(); frame = reader->next()) {
    EXPECT_EQ((*frame)->width_px, 360);
    EXPECT_EQ((*frame)->height_px, 640);
    EXPECT_EQ((*frame)->orientation.quarter_turns_cw, 0);
    times_s.push_back((*frame)->time_s);
  }
  ASSERT_EQ(times_s.size(), 24U);
  for (std::size_t i = 0; i < times_s.size(); ++i) EXPECT_NEAR(times_s[i], static_cast<double>(i) / 60.0, 1e-4);
}

TEST_F(OverlayFile, KeepsEveryFrameOfASixtyHertzClip) {
  ASSERT_TRUE(write_overlay(file_.string(), test::sample_measurement(), frames(20, 60), {}));
  auto reader = clip::ClipReader::open(file_.string(), {});
  ASSERT_TRUE(reader);
  int count = 0;
  for (auto frame = reader->next(); frame && frame->has_value(); frame = reader->next()) ++count;
  EXPECT_EQ(count, 20);
}

TEST_F(OverlayFile, SaysWhyItStopped) {
  const measure::Measurement m = test::sample_measurement();
  Watcher impatient;
  impatient.stop_asked = [] { return true; };
  EXPECT_EQ(write_overlay(file_.string(), m, frames(5, 60), impatient).error().fault, Fault::stopped);
  EXPECT_EQ(write_overlay(file_.string(), m, frames(0, 60), {}).error().fault, Fault::clip_no_frames);
  EXPECT_EQ(write_overlay("/nowhere/at/all.mp4", m, frames(5, 60), {}).error().fault, Fault::cannot_write);
  const NextFrame broken = [] { return Result<std::optional<clip::Frame>>(Error{Fault::clip_unreadable, "torn", ""}); };
  EXPECT_EQ(write_overlay(file_.string(), m, broken, {}).error().fault, Fault::clip_unreadable);
}

}  // namespace
}  // namespace risetrace::report
