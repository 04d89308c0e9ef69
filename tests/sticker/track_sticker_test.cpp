#include "sticker/track_sticker.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "sticker/drawing.h"

namespace risetrace::sticker {
namespace {

// Heel up and down by `height_px`, 2 s a cycle after a second of standing, about a ball 110 px in front of it.
Point heel_at(double time_s, double height_px) {
  const double phase = time_s < 1 ? 0 : (1 - std::cos(M_PI * (time_s - 1))) / 2;
  const double rise = height_px * phase;
  return {200 + 110 - std::sqrt(110.0 * 110.0 - rise * rise), 200 - rise};
}

test::Disc ringed(Point at, double radius = 9) {
  test::Disc disc;
  disc.centre_px = at;
  disc.outer_px = radius;
  disc.inner_px = 0.65 * radius;
  return disc;
}

using Scene = std::function<std::vector<test::Disc>(double time_s)>;

Result<Track> tracked(const Scene& scene, double seconds, const TrackOptions& options = {}) {
  test::Canvas canvas;
  canvas.width = 480;
  canvas.height = 270;
  canvas.noise = 2;
  StickerTracker tracker(options);
  for (int n = 0; n < seconds * 30; ++n) {
    canvas.seed = static_cast<unsigned>(n + 1);
    const auto known = tracker.push(test::frame_of(canvas, scene(n / 30.0), n, n / 30.0));
    if (!known) return known.error();
  }
  return tracker.finish();
}

double rms_px(const Track& track, double height_px) {
  double sum = 0;
  int count = 0;
  for (const TrackSample& s : track.samples) {
    if (!s.seen) continue;
    const Point truth = heel_at(s.time_s, height_px);
    sum += (s.px.x - truth.x) * (s.px.x - truth.x) + (s.px.y - truth.y) * (s.px.y - truth.y);
    ++count;
  }
  return std::sqrt(sum / count);
}

TEST(StickerTracker, TellsTheHeelFromStillSpotsAndFromTheForefoot) {
  const auto track = tracked(
      [](double t) {
        const Point heel = heel_at(t, 60);
        return std::vector<test::Disc>{ringed({60, 60}), ringed({400, 100}, 14),
                                       ringed({310, 214 - 0.1 * (200 - heel.y)}),
                                       ringed({240, 100 - 0.8 * (200 - heel.y)}), ringed(heel)};
      },
      5);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_EQ(track->found_by, FoundBy::search);
  EXPECT_EQ(track->samples.size(), 150U);
  EXPECT_EQ(track->frames_seen, 150);
  EXPECT_LT(rms_px(*track, 60), 0.06);
}

// Lower than the heel's and as clear, but nearer to the ball about which the foot turns: it rises by 0.7 of the heel's.
TEST(StickerTracker, ALogoAheadOfTheStickerIsNotTheHeel) {
  const auto track = tracked(
      [](double t) {
        const Point heel = heel_at(t, 60);
        const double up = 200 - heel.y;
        return std::vector<test::Disc>{ringed({250, 206 - 0.7 * up}), ringed({230, 70 - 0.75 * up}), ringed(heel)};
      },
      5);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_LT(rms_px(*track, 60), 0.06);
  EXPECT_TRUE(track->notes.empty());
}

// What sits above the foot may rise more than the heel does, as where the knee is straightened.
TEST(StickerTracker, ASpotOnTheShortsIsNotTheHeelThoughItRisesMore) {
  const auto track = tracked(
      [](double t) {
        const Point heel = heel_at(t, 60);
        return std::vector<test::Disc>{ringed({230, 90 - 1.2 * (200 - heel.y)}), ringed(heel)};
      },
      5);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_LT(rms_px(*track, 60), 0.06);
}

// Hops: a heel sticker of weak contrast and a strong one on the forefoot go up together, the forefoot's by two thirds;
// `others` go up with the heel.
Result<Track> tracked_hops(const std::vector<test::Disc>& others_at_rest) {
  TrackOptions options;
  options.movement = Movement::hop;
  return tracked(
      [&](double t) {
        const double up = 200 - heel_at(t, 60).y;
        test::Disc heel = ringed({180, 200 - up});
        heel.disc_grey = 120;
        std::vector<test::Disc> discs{heel, ringed({310, 212 - up * 2 / 3})};
        for (test::Disc other : others_at_rest) {
          other.centre_px.y -= up;
          discs.push_back(other);
        }
        return discs;
      },
      5, options);
}

TEST(StickerTracker, AForefootStickerClearerThanTheHeelsRaisesNoDoubt) {
  const auto two = tracked_hops({});
  ASSERT_TRUE(two) << sentence(two.error());
  EXPECT_NEAR(two->samples.front().px.x, 180, 0.5);
  EXPECT_TRUE(two->notes.empty()) << two->notes.front().text;
  const auto three = tracked_hops({ringed({200, 90})});
  ASSERT_TRUE(three) << sentence(three.error());
  EXPECT_NEAR(three->samples.front().px.x, 180, 0.5);
  ASSERT_EQ(three->notes.size(), 1U) << "a third spot that is clearer still does";
  EXPECT_EQ(three->notes.front().code, "sticker-choice-doubtful");
}

TEST(StickerTracker, BridgesAHandAndFindsTheStickerAgain) {
  const auto track = tracked(
      [](double t) {
        std::vector<test::Disc> discs{ringed(heel_at(t, 60))};
        test::Disc hand;
        hand.centre_px = heel_at(t, 60);
        hand.outer_px = 30;
        hand.disc_grey = 150;
        if (t > 3.0 && t < 3.3) discs.push_back(hand);
        return discs;
      },
      6);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_GE(track->frames_bridged, 7);
  EXPECT_LE(track->frames_bridged, 11);
  EXPECT_TRUE(track->samples.back().seen);
  EXPECT_LT(rms_px(*track, 60), 0.08);
}

double worst_px(const Track& track, double height_px) {
  double worst = 0;
  for (const TrackSample& s : track.samples) {
    const Point truth = heel_at(s.time_s, height_px);
    if (s.seen) worst = std::max(worst, std::hypot(s.px.x - truth.x, s.px.y - truth.y));
  }
  return worst;
}

test::Disc hand_at(Point at) {
  test::Disc hand;
  hand.centre_px = at;
  hand.outer_px = 30;
  hand.disc_grey = 60;
  return hand;
}

// A trouser leg or the edge of a hand: what is left to see has another middle.
TEST(StickerTracker, WhatIsLeftOfACoveredStickerIsNotItsPlace) {
  for (const double aside : {12.0, 16.0, 20.0, 24.0, 28.0, 32.0}) {
    const auto track = tracked(
        [aside](double t) {
          const Point heel = heel_at(t, 60);
          std::vector<test::Disc> discs{ringed(heel)};
          if (t > 3.5 && t < 4.5) discs.push_back(hand_at({heel.x + 0.6 * aside, heel.y - 0.8 * aside}));
          return discs;
        },
        7);
    ASSERT_TRUE(track) << sentence(track.error());
    EXPECT_LT(worst_px(*track, 60), 1.5) << aside;  // a sixth of a radius
    EXPECT_TRUE(track->samples.back().seen);
  }
}

// A logo like the sticker, not quite as clear, goes along with the foot while the sticker is covered.
TEST(StickerTracker, ALogoDoesNotStandInForACoveredSticker) {
  const auto track = tracked(
      [](double t) {
        const Point heel = heel_at(t, 60);
        std::vector<test::Disc> discs{ringed(heel)};
        if (t > 3.5 && t < 4.0) discs.push_back(hand_at({heel.x - 12, heel.y}));
        test::Disc logo = ringed({heel.x + 38, heel.y - 8}, 8);
        logo.disc_grey = 165;
        logo.ring_grey = 90;
        discs.push_back(logo);
        return discs;
      },
      7);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_LT(worst_px(*track, 60), 1.5);
  EXPECT_TRUE(track->samples.back().seen);
}

TEST(StickerTracker, AShownAgainPictureIsNoMeasurement) {
  test::Canvas canvas;
  canvas.noise = 2;
  StickerTracker tracker({});
  clip::Frame last;
  for (int n = 0; n < 120; ++n) {
    canvas.seed = static_cast<unsigned>(n + 1);
    clip::Frame frame = test::frame_of(canvas, {ringed(heel_at(n / 30.0, 60))}, n, n / 30.0);
    if (n == 100) {  // the heel moves fast here
      frame = last;
      frame.number = n;
      frame.time_s = n / 30.0;
    }
    last = frame;
    ASSERT_TRUE(tracker.push(frame));
  }
  const auto track = tracker.finish();
  ASSERT_TRUE(track);
  EXPECT_EQ(track->frames_repeated, 1);
  EXPECT_FALSE(track->samples[100].seen);
}

// A weak calf lifts the heel by less than its sticker is wide; a decoy that stands still is no rival to it.
TEST(StickerTracker, ARiseOfHardlyMoreThanTheStickerIsFoundInTheEnd) {
  constexpr double height_px = 13;
  const auto track = tracked(
      [](double t) {
        return std::vector<test::Disc>{ringed({60, 60}), ringed({400, 100}, 14), ringed(heel_at(t, height_px))};
      },
      5);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_EQ(track->samples.size(), 150U);
  EXPECT_LT(rms_px(*track, height_px), 0.08);
}

TEST(StickerTracker, NobodyMoves) {
  const auto track = tracked([](double) { return std::vector<test::Disc>{ringed({200, 200}), ringed({60, 60})}; }, 3);
  ASSERT_FALSE(track);
  EXPECT_EQ(track.error().fault, Fault::no_movement);
}

TEST(StickerTracker, NothingRound) {
  const auto track = tracked([](double) { return std::vector<test::Disc>{}; }, 2);
  ASSERT_FALSE(track);
  EXPECT_EQ(track.error().fault, Fault::sticker_not_found);
}

TEST(StickerTracker, ByHandAtTheFirstFrame) {
  TrackOptions options;
  options.heel_px = Point{203, 197};
  const Scene scene = [](double t) { return std::vector<test::Disc>{ringed({60, 60}), ringed(heel_at(t, 60))}; };
  const auto track = tracked(scene, 3, options);
  ASSERT_TRUE(track) << sentence(track.error());
  EXPECT_EQ(track->found_by, FoundBy::hand);
  EXPECT_LT(rms_px(*track, 60), 0.06);
  options.heel_px = Point{120, 100};
  const auto nothing = tracked(scene, 1, options);
  ASSERT_FALSE(nothing);
  EXPECT_EQ(nothing.error().fault, Fault::sticker_not_found);
  options.heel_px = Point{4000, 100};
  EXPECT_EQ(tracked(scene, 1, options).error().fault, Fault::option_wrong);
}

}  // namespace
}  // namespace risetrace::sticker
