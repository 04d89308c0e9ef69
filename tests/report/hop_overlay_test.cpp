#include "report/hop_overlay.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cmath>
#include <cstring>
#include <filesystem>

#include "clip/read_clip.h"
#include "report/made_frames.h"
#include "report/overlay.h"
#include "report/pixel.h"
#include "report/sample_hops.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;

using test::Rgb;

bool greenish(const Rgb& pixel) { return pixel.green > 235 && pixel.red < 180 && pixel.blue < 180; }
bool orange(const Rgb& pixel) { return pixel.red > 220 && pixel.green < 200 && pixel.blue < 120; }
bool white(const Rgb& pixel) { return pixel.red > 235 && pixel.green > 235 && pixel.blue > 235; }

class HopsDrawn : public testing::Test {
 protected:
  void draw(const measure::Measurement& m, std::int64_t number) {
    const double time_s = static_cast<double>(number) / m.clip.frame_rate_hz;
    const test::FrameShape shape{m.clip.width_px, m.clip.height_px, {}, 8, true};
    const Point heel = m.track.samples[static_cast<std::size_t>(number)].px;
    const clip::Frame frame = test::made_frame(shape, number, time_s, heel);
    canvas_ = std::make_unique<PictureCanvas>(frame, 640, 1280);
    ASSERT_TRUE(canvas_->load(frame));
    HopOverlay(m, *canvas_).draw(canvas_->ink(), number, time_s);
    cairo_surface_flush(cairo_get_target(canvas_->ink().context()));
    unit_ = std::min(canvas_->width(), canvas_->height()) / 100.0;
  }
  [[nodiscard]] Rgb at(double x, double y) const { return test::colour_at(*canvas_, x, y); }
  // Share of the pixels along the row below the shoe, between the stickers, for which `is` holds.
  template <typename Is>
  double below_the_shoe(const measure::Measurement& m, std::int64_t number, Is is) const {
    const Point heel = canvas_->from_upright(m.track.samples[static_cast<std::size_t>(number)].px);
    const double y = canvas_->from_upright({0, test::hops_floor_row_px}).y + 2.5 * unit_;
    int found = 0;
    for (int i = 0; i < 100; ++i) found += is(at(heel.x + i, y)) ? 1 : 0;
    return found / 100.0;
  }
  template <typename Is>
  int pixels(int x0, int y0, int x1, int y1, Is is) const {
    int found = 0;
    for (int y = y0; y < y1; ++y) {
      for (int x = x0; x < x1; ++x) found += is(at(x, y)) ? 1 : 0;
    }
    return found;
  }

  std::unique_ptr<PictureCanvas> canvas_;
  double unit_ = 1.0;
};

TEST_F(HopsDrawn, ABarStandsBelowTheShoeFromTouchdownToTakeOffOnly) {
  const measure::Measurement m = test::sample_hops();
  const hop::Hop& hop = m.hops->hops[6];
  const std::vector<std::pair<std::int64_t, bool>> wanted = {{hop.touchdown_frame - 1, false},
                                                             {hop.touchdown_frame, true},
                                                             {*hop.takeoff_frame - 1, true},
                                                             {*hop.takeoff_frame, false}};
  for (const auto& [frame, on] : wanted) {
    SCOPED_TRACE(frame);
    draw(m, frame);
    EXPECT_EQ(below_the_shoe(m, frame, greenish), on ? 1.0 : 0.0);
    const double dashes = below_the_shoe(m, frame, white);  // in the air: a broken line, so not by colour alone
    EXPECT_TRUE(on ? dashes == 0 : dashes > 0.25 && dashes < 0.75) << dashes;
  }
}

TEST_F(HopsDrawn, NothingIsSaidOfTheGroundWhereItIsNotKnown) {
  const measure::Measurement m = test::sample_hops({.times = false});
  const std::int64_t frame = m.hops->hops[6].touchdown_frame + 5;
  draw(m, frame);
  const double y = canvas_->from_upright({0, test::hops_floor_row_px}).y;
  EXPECT_EQ(pixels(400, static_cast<int>(y) - 30, 1000, 700, greenish), 0);
}

TEST_F(HopsDrawn, TheStripMakesWayForTheShoeAndItsCursorMoves) {
  measure::Measurement low_shoe = test::sample_hops();  // floor at row 560 of 720
  measure::Measurement high_shoe = test::sample_hops();
  high_shoe.clearance.floor_row_px = 420;
  const double page_s = low_shoe.clip.duration_s / std::ceil(low_shoe.clip.duration_s / 4.0);
  for (const std::int64_t frame : {300, 500, 1000}) {
    const double share = std::fmod(static_cast<double>(frame) / 240.0, page_s) / page_s;
    draw(low_shoe, frame);
    EXPECT_TRUE(white(at(1280 * share, 5 * unit_))) << frame;
    draw(high_shoe, frame);
    EXPECT_FALSE(white(at(1280 * share, 0.3 * unit_))) << frame;
    EXPECT_TRUE(white(at(1280 * share, canvas_->height() - 10 * unit_))) << frame;
  }
}

TEST_F(HopsDrawn, AHopThatIsNotCountedIsOrangeAndSaysWhy) {
  const measure::Measurement m = test::sample_hops();
  const auto orange_in_panel = [&] { return pixels(22, 152, 340, 420, orange); };
  draw(m, m.hops->hops[1].touchdown_frame + 10);
  EXPECT_GT(orange_in_panel(), 1000);
  draw(m, m.hops->hops[6].touchdown_frame + 10);
  EXPECT_EQ(orange_in_panel(), 0);
}

TEST_F(HopsDrawn, TheBeatFlashesWhenItIsHeard) {
  const measure::Measurement m = test::sample_hops();
  // The sample's clicks sound with the touchdowns once the sound's delay is taken off.
  const auto disc_is_filled = [&] {
    const double x = canvas_->width() - 33 * unit_ + 4 * unit_;
    return white(at(x, 21 * unit_ + 13.2 * unit_));
  };
  const std::int64_t click = m.hops->hops[6].touchdown_frame;
  draw(m, click + 1);
  EXPECT_TRUE(disc_is_filled());
  draw(m, click - 3);
  EXPECT_FALSE(disc_is_filled());
  draw(m, click + 40);
  EXPECT_FALSE(disc_is_filled());
}

TEST_F(HopsDrawn, SurvivesResultsWithoutHopsOrSamples) {
  measure::Measurement m = test::sample_hops();
  m.hops.reset();
  draw(m, 300);
  m.forefoot.reset();
  m.clearance = {};
  m.contacts = {};
  m.beats = {};
  draw(m, 300);
  const Point heel = canvas_->from_upright(m.track.samples[300].px);
  EXPECT_GT(at(heel.x + m.track.radius_px * 1.9, heel.y).blue, 200);
}

class HopOverlayFile : public testing::Test {
 protected:
  void SetUp() override { file_ = fs::temp_directory_path() / ("hop-overlay-" + std::to_string(::getpid()) + ".mp4"); }
  void TearDown() override { fs::remove(file_); }

  // The times of the overlay's pictures, of a clip of so many frames.
  std::vector<double> shown(double rate_hz, int frames) {
    measure::Measurement m = test::sample_hops({.hops = 4, .steps = 1, .frame_rate_hz = rate_hz});
    const NextFrame next = [&, i = 0]() mutable -> Result<std::optional<clip::Frame>> {
      if (i == frames) return std::optional<clip::Frame>{};
      const int number = i++;
      return std::optional(test::made_frame({640, 360, {}, 8, true}, number, number / rate_hz, {120, 200}));
    };
    const auto wrote = write_overlay(file_.string(), m, next, {});
    EXPECT_TRUE(wrote) << sentence(wrote.error());
    auto reader = clip::ClipReader::open(file_.string(), {});
    EXPECT_TRUE(reader);
    std::vector<double> times_s;
    for (auto frame = reader->next(); frame && frame->has_value(); frame = reader->next()) {
      times_s.push_back((*frame)->time_s);
    }
    return times_s;
  }

  fs::path file_;
};

TEST_F(HopOverlayFile, PlaysAtAQuarterOfTheSpeedWithEveryFrame) {
  for (const double rate_hz : {60.0, 120.0, 240.0}) {
    const auto times_s = shown(rate_hz, 48);
    ASSERT_EQ(times_s.size(), 48U) << rate_hz;
    for (std::size_t i = 0; i < times_s.size(); ++i) {
      EXPECT_NEAR(times_s[i], 4 * static_cast<double>(i) / rate_hz, 1e-4);
    }
  }
}

TEST_F(HopOverlayFile, IsThinnedToSixtyPicturesASecond) {
  const auto times_s = shown(480, 96);
  ASSERT_EQ(times_s.size(), 48U);
  for (std::size_t i = 0; i < times_s.size(); ++i) EXPECT_NEAR(times_s[i], static_cast<double>(i) / 60.0, 1e-4);
}

TEST(InkFitted, CutsAtWordsAndNeverWithinALetter) {
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, 10, 10));
  const Context context(cairo_create(surface.get()));
  const Ink ink(context.get());
  const TextStyle style{.size = 10, .colour = {}, .width = 60};
  const double line = ink.measure("x", style).height;
  EXPECT_EQ(ink.fitted("short", style, line * 1.1), "short");
  EXPECT_EQ(ink.fitted("é é\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9", style,
                       line * 1.1),
            "é …");
  const std::string cut = ink.fitted("ééééééééééééééééééééé", style, line * 1.1);
  EXPECT_TRUE(cut.ends_with("é …")) << cut;
  EXPECT_LE(ink.measure(cut, style).height, line * 1.1);
}

}  // namespace
}  // namespace risetrace::report
