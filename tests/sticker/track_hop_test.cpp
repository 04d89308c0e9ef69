// Hops: which sticker is the heel's and which the forefoot's, and fast ones at 60 frames a second.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <memory>
#include <random>

#include "clip/picture_change.h"
#include "sticker/drawing.h"
#include "sticker/track_sticker.h"

namespace risetrace::sticker {
namespace {

constexpr double px_per_cm = 6;
constexpr double gravity_cm_s2 = 980.665;  // standard gravity, CGPM 1901

// A hop every 0.4 s, half of it in the air: 4.9 cm of flight. On the ground the heel sinks by 5 cm and comes up again;
// it leaves and lands 5 cm higher than it stands. `up_cm` of the body.
double flight_cm(double time_s) {
  const double t = std::fmod(time_s, 0.4) - 0.2;
  return t < 0 ? 0 : gravity_cm_s2 * t * (0.2 - t) / 2;
}
double heel_cm(double time_s) {
  const double t = std::fmod(time_s, 0.4);
  return t < 0.2 ? 5 * (1 - std::sin(M_PI * t / 0.2)) : 5 + flight_cm(time_s);
}

struct Feet {
  double forward = 1;  // +1: the toes point right in the picture
  Point heel_px(double t) const { return {240 - forward * 50, 220 - px_per_cm * heel_cm(t)}; }
  Point forefoot_px(double t) const { return {240 + forward * 55, 232 - px_per_cm * flight_cm(t)}; }
  Point ankle_px(double t) const { return {240 - forward * 35, 150 - px_per_cm * heel_cm(t) * 0.9}; }
};

test::Disc ringed(Point at, double radius = 6) {
  test::Disc disc;
  disc.centre_px = at;
  disc.outer_px = radius;
  disc.inner_px = 0.65 * radius;
  return disc;
}

using Scene = std::function<std::vector<test::Disc>(double time_s)>;

struct Found {
  Result<Track> heel;
  std::optional<Track> forefoot;
};

Found tracked(const Scene& scene, double seconds, double fps, TrackOptions options = {}) {
  options.movement = Movement::hop;
  test::Canvas canvas;
  canvas.width = 480;
  canvas.height = 270;
  canvas.noise = 2;
  StickerTracker tracker(options);
  for (int n = 0; n < seconds * fps; ++n) {
    canvas.seed = static_cast<unsigned>(n + 1);
    const auto known = tracker.push(test::frame_of(canvas, scene(n / fps), n, n / fps));
    if (!known) return {known.error(), std::nullopt};
  }
  auto heel = tracker.finish();
  return {std::move(heel), tracker.forefoot_track()};
}

// Root mean square distance from where it was drawn, and the share of its frames in which it was seen.
struct Match {
  double rms_px = 0;
  double seen = 0;
};

Match match(const Track& track, const std::function<Point(double)>& truth) {
  double sum = 0;
  int count = 0;
  for (const TrackSample& s : track.samples) {
    if (!s.seen) continue;
    const Point drawn = truth(s.time_s);
    sum += std::pow(s.px.x - drawn.x, 2) + std::pow(s.px.y - drawn.y, 2);
    ++count;
  }
  return {std::sqrt(sum / count), static_cast<double>(count) / static_cast<double>(track.samples.size())};
}

class HopStickers : public testing::TestWithParam<double> {};

TEST_P(HopStickers, HeelAndForefootAreToldApartWhicheverWayTheFootPoints) {
  const Feet feet{GetParam()};
  const auto found = tracked(
      [&](double t) {
        return std::vector<test::Disc>{ringed({40, 60}), ringed({440, 100}, 9), ringed(feet.ankle_px(t)),
                                       ringed(feet.forefoot_px(t)), ringed(feet.heel_px(t))};
      },
      2.4, 120);
  ASSERT_TRUE(found.heel) << sentence(found.heel.error());
  ASSERT_TRUE(found.forefoot);
  const Match heel = match(*found.heel, [&](double t) { return feet.heel_px(t); });
  const Match forefoot = match(*found.forefoot, [&](double t) { return feet.forefoot_px(t); });
  EXPECT_LT(heel.rms_px, 0.1);
  EXPECT_LT(forefoot.rms_px, 0.1);
  EXPECT_GT(heel.seen, 0.98);
  EXPECT_GT(forefoot.seen, 0.98);
  EXPECT_EQ(found.heel->samples.front().frame, 0);
  EXPECT_EQ(found.forefoot->samples.front().frame, 0);
}

TEST_P(HopStickers, TheHeelAloneHasNoForefoot) {
  const Feet feet{GetParam()};
  const auto found = tracked(
      [&](double t) {
        return std::vector<test::Disc>{ringed({40, 60}), ringed(feet.heel_px(t))};
      },
      2.0, 120);
  ASSERT_TRUE(found.heel) << sentence(found.heel.error());
  EXPECT_FALSE(found.forefoot);
  EXPECT_LT(match(*found.heel, [&](double t) { return feet.heel_px(t); }).rms_px, 0.1);
}

// A spot on the calf above the heel goes up and down with it but is no forefoot: it does not lie level ahead of it.
TEST_P(HopStickers, TheAnkleIsNoForefoot) {
  const Feet feet{GetParam()};
  const auto found = tracked(
      [&](double t) {
        return std::vector<test::Disc>{ringed(feet.ankle_px(t)), ringed(feet.heel_px(t))};
      },
      2.0, 120);
  ASSERT_TRUE(found.heel) << sentence(found.heel.error());
  EXPECT_FALSE(found.forefoot);
  EXPECT_LT(match(*found.heel, [&](double t) { return feet.heel_px(t); }).rms_px, 0.1);
}

// At 60 a second the heel moves by up to 8 px, more than its own radius, from one frame to the next.
TEST_P(HopStickers, AreFollowedAtSixtyFramesASecond) {
  const Feet feet{GetParam()};
  const auto found = tracked(
      [&](double t) {
        return std::vector<test::Disc>{ringed({40, 60}), ringed(feet.forefoot_px(t)), ringed(feet.heel_px(t))};
      },
      4, 59.9);
  ASSERT_TRUE(found.heel) << sentence(found.heel.error());
  ASSERT_TRUE(found.forefoot);
  const Match heel = match(*found.heel, [&](double t) { return feet.heel_px(t); });
  EXPECT_LT(heel.rms_px, 0.1);
  EXPECT_GT(heel.seen, 0.95);
  EXPECT_GT(match(*found.forefoot, [&](double t) { return feet.forefoot_px(t); }).seen, 0.95);
}

// Pointed at to a third of the radius: from half of it on a spot of 6 px is not found.
TEST_P(HopStickers, ByHand) {
  const Feet feet{GetParam()};
  const Scene scene = [&](double t) {
    return std::vector<test::Disc>{ringed({40, 60}), ringed(feet.forefoot_px(t)), ringed(feet.heel_px(t))};
  };
  const auto near = [](Point p) { return Point{p.x + 2, p.y - 1}; };
  TrackOptions options;
  options.heel_px = near(feet.heel_px(0));
  options.forefoot_px = near(feet.forefoot_px(0));
  auto found = tracked(scene, 1, 120, options);
  ASSERT_TRUE(found.heel) << sentence(found.heel.error());
  ASSERT_TRUE(found.forefoot);
  EXPECT_EQ(found.forefoot->found_by, FoundBy::hand);
  EXPECT_LT(match(*found.heel, [&](double t) { return feet.heel_px(t); }).rms_px, 0.1);
  EXPECT_LT(match(*found.forefoot, [&](double t) { return feet.forefoot_px(t); }).rms_px, 0.1);
  options.forefoot_px = Point{240, 60};
  found = tracked(scene, 0.1, 120, options);
  ASSERT_FALSE(found.heel);
  EXPECT_EQ(found.heel.error().fault, Fault::sticker_not_found);
  options.forefoot_px = Point{-5, 60};
  EXPECT_EQ(tracked(scene, 0.1, 120, options).heel.error().fault, Fault::option_wrong);
}

INSTANTIATE_TEST_SUITE_P(Facing, HopStickers, testing::Values(1.0, -1.0),
                         [](const auto& of) { return of.param > 0 ? "Right" : "Left"; });

// Every ninth frame shows the one before again, as a second coding leaves it: a grey level or so elsewhere.
TEST(HopTracker, APictureShownAgainAndCodedAgainIsNoMeasurement) {
  const Feet feet;
  for (const double fps : {60.0, 240.0}) {
    for (const bool repeat : {true, false}) {
      TrackOptions options;
      options.movement = Movement::hop;
      StickerTracker tracker(options);
      clip::PictureChange change;
      test::Canvas canvas;
      canvas.width = 480;
      canvas.height = 270;
      canvas.noise = 2;
      std::mt19937 random(3);
      std::normal_distribution<double> coding(0, 0.8);
      clip::Frame last;
      for (int n = 0; n < 2.4 * fps; ++n) {
        canvas.seed = static_cast<unsigned>(n + 1);
        clip::Frame frame = test::frame_of(canvas, {ringed(feet.heel_px(n / fps))}, n, n / fps);
        if (repeat && n % 9 == 8) {
          const auto bytes = std::make_shared<std::vector<std::uint8_t>>();
          for (int i = 0; i < canvas.width * canvas.height; ++i) {
            bytes->push_back(static_cast<std::uint8_t>(std::clamp(last.luma.data[i] + coding(random), 0.0, 255.0)));
          }
          frame.luma.data = bytes->data();
          frame.owner = bytes;
        }
        frame.like_last = change.like_last(frame);
        last = frame;
        ASSERT_TRUE(tracker.push(frame));
      }
      const auto track = tracker.finish();
      ASSERT_TRUE(track);
      int missed = 0;
      for (const TrackSample& s : track->samples) {
        const bool again = repeat && s.frame % 9 == 8;
        EXPECT_FALSE(s.repeated && !again) << "frame " << s.frame << " at " << fps << " is new";
        const double moved_px = feet.heel_px(s.time_s - 1 / fps).y - feet.heel_px(s.time_s).y;
        if (again && std::abs(moved_px) > 6 && !s.repeated) ++missed;
      }
      EXPECT_EQ(missed, 0) << fps;
      EXPECT_EQ(track->frames_repeated > 3, repeat);
    }
  }
}

}  // namespace
}  // namespace risetrace::sticker
