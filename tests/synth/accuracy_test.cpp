// Frames against the truth that is told of them. Limits of ours: 0.01 px while still, 0.02 px while moving, well under
// the noise that a measurement of such a sticker has.
#include <gtest/gtest.h>

#include <array>

#include "math/homography.h"
#include "seen.h"

namespace risetrace::synth {
namespace {

constexpr int reach_px = 26;
constexpr double black_grey = 16.0;

struct Worst {
  double still_px = 0.0;
  double moving_px = 0.0;
};

// The camera looks straight at the sticker's plane, so that the centre of a disc's image is the image of its centre.
Worst worst_distance(const Scene& scene) {
  const Truth truth = test::truth_for(scene);
  Renderer renderer(scene, test::models().cards);
  Worst worst;
  double before_cm = 0.0;
  while (const auto frame = renderer.next()) {
    const TruthFrame& true_frame = truth.frames.at(static_cast<std::size_t>(frame->index));
    const Point seen = test::centroid(*frame, true_frame.heel_px, reach_px, black_grey);
    const double off_px = std::hypot(seen.x - true_frame.heel_px.x, seen.y - true_frame.heel_px.y);
    const bool moves = true_frame.height_cm != before_cm;
    before_cm = true_frame.height_cm;
    (moves ? worst.moving_px : worst.still_px) = std::max(moves ? worst.moving_px : worst.still_px, off_px);
  }
  return worst;
}

Scene near_scene() {
  Scene scene = test::bare_scene();
  scene.camera.height_cm = 11;
  scene.movement.lead_in_s = 0.2;
  scene.movement.tail_s = 0.1;
  scene.movement.rule.count = 1;
  return scene;
}

TEST(Accuracy, CentreOfAStickerIsWhereTheTruthSays) {
  const Worst worst = worst_distance(near_scene());
  EXPECT_LT(worst.still_px, 0.01);
  EXPECT_LT(worst.moving_px, 0.02);
  RecordProperty("still_px", std::to_string(worst.still_px));
  RecordProperty("moving_px", std::to_string(worst.moving_px));
}

TEST(Accuracy, ARollingShutterShowsTheStickerAtItsOwnRowsInstant) {
  Scene scene = near_scene();
  scene.camera.readout_s = 0.016;
  scene.camera.exposure_s = 1.0 / 500;
  const Worst worst = worst_distance(scene);
  EXPECT_LT(worst.moving_px, 0.02);
  const Truth truth = test::truth_for(scene);
  const TruthFrame& frame = truth.frames.front();
  // Derived here: row y of 400 is read (y + 0.5) / 400 of the readout after the first, the middle row at the frame's
  // time.
  EXPECT_NEAR(frame.heel_s - frame.time_s, 0.016 * ((frame.heel_px.y + 0.5) / 400 - 0.5), 1e-9);
}

TEST(Accuracy, DistortionAndALongExposureKeepTheCentre) {
  Scene scene = near_scene();
  scene.camera.k1 = -0.08;
  scene.camera.exposure_s = 1.0 / 61;
  const Worst worst = worst_distance(scene);
  EXPECT_LT(worst.still_px, 0.01);
  EXPECT_LT(worst.moving_px, 0.02);
}

// Where the picture crosses from paper to ink, walking from outside the tag's black square inwards.
double edge_along(const RenderedFrame& frame, Point from, Point way) {
  const auto grey = [&](double step) {
    const double x = from.x + step * way.x;
    const double y = from.y + step * way.y;
    const int ix = static_cast<int>(std::floor(x));
    const int iy = static_cast<int>(std::floor(y));
    const double fx = x - ix;
    const double fy = y - iy;
    return (test::grey_at(frame, ix, iy) * (1 - fx) + test::grey_at(frame, ix + 1, iy) * fx) * (1 - fy) +
           (test::grey_at(frame, ix, iy + 1) * (1 - fx) + test::grey_at(frame, ix + 1, iy + 1) * fx) * fy;
  };
  const double half = (grey(-6) + grey(6)) / 2;
  for (int i = -600; i < 600; ++i) {
    if (grey(i / 100.0) >= half && grey((i + 1) / 100.0) < half) return (i + 0.5) / 100.0;
  }
  return 99.0;
}

// Points on the sides of each tag, placed by a homography through the truth's corners, lie on the picture's edges.
TEST(Accuracy, TagSidesLieWhereTheTruthsCornersSay) {
  Scene scene;
  scene.camera.noise_grey = 0;
  scene.camera.gamma = false;
  scene.file.codec = CodecName::hevc_10bit;
  Card& card = scene.cards.front();
  card.turn_deg = 20;
  card.lean_deg = -8;
  card.roll_deg = 3;
  card.offset_cm = 5;
  const Truth truth = test::truth_for(scene);
  Renderer renderer(scene, test::models().cards);
  const auto frame = renderer.next();
  ASSERT_TRUE(frame);
  const std::vector<Point> square = {{-1, 1}, {1, 1}, {1, -1}, {-1, -1}};
  double worst_px = 0;
  double mean_px = 0;
  int n = 0;
  for (const auto& corners : truth.cards.at(0).tags_px) {
    const auto fit = math::fit_homography(square, corners);
    ASSERT_TRUE(fit);
    for (std::size_t side = 0; side < 4; ++side) {
      for (const double share : {0.2, 0.4, 0.6, 0.8}) {
        const Point a = square[side];
        const Point b = square[(side + 1) % 4];
        const Point at{a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
        const Point px = fit->map.map(at);
        const Point ahead = fit->map.map({at.x * 0.99, at.y * 0.99});  // towards the tag's middle, for its direction
        const Point p1 = fit->map.map(a);
        const Point p2 = fit->map.map(b);
        Point normal{-(p2.y - p1.y), p2.x - p1.x};
        const double length = std::hypot(normal.x, normal.y);
        const double sign = (ahead.x - px.x) * normal.x + (ahead.y - px.y) * normal.y > 0 ? 1 : -1;
        normal = {sign * normal.x / length, sign * normal.y / length};
        const double off_px = edge_along(*frame, px, normal);
        worst_px = std::max(worst_px, std::abs(off_px));
        mean_px += off_px;
        ++n;
      }
    }
  }
  // Reading an edge between pixels by bilinear values costs up to a few hundredths; its mean does not.
  EXPECT_LT(worst_px, 0.08);
  EXPECT_LT(std::abs(mean_px / n), 0.01);
}

TEST(Accuracy, HeightComesBackThroughTheCamera) {
  Scene scene;
  scene.movement.rule.count = 2;
  const Truth truth = test::truth_for(scene);
  // Derived here: a camera that looks level has one scale over the whole sagittal plane, focal length / distance.
  const double px_per_cm = 14.0;
  EXPECT_NEAR(truth.px_per_cm, px_per_cm, 1e-6);
  for (const TruthFrame& frame : truth.frames) {
    EXPECT_NEAR((truth.frames[0].heel_px.y - frame.heel_px.y) / px_per_cm, frame.height_cm, 1e-9);
  }
}

}  // namespace
}  // namespace risetrace::synth
