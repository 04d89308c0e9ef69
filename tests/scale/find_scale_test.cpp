#include "scale/find_scale.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

#include "model/read_models.h"
#include "place.h"
#include "synth/render.h"

namespace risetrace::scale {
namespace {

model::Models models() {
  auto read = model::read_models(test::source_folder() / "models");
  EXPECT_TRUE(read);
  return *read;
}

synth::Scene small_scene() {
  synth::Scene scene;
  scene.camera.width_px = 960;
  scene.camera.height_px = 720;
  scene.camera.noise_grey = 3;
  scene.camera.x_cm = -8;
  scene.camera.height_cm = 22;
  scene.movement.lead_in_s = 0.1;
  scene.movement.tail_s = 0.1;
  scene.movement.rule.count = 0;
  return scene;
}

// `unknown`: so many frames at first of which nobody knows how the camera stood.
Result<Scale> scale_of(const synth::Scene& scene, const ScaleOptions& options = {}, int unknown = 0) {
  const model::Models all = models();
  synth::Renderer renderer(scene, all.cards);
  ScaleFinder finder(all.cards, options);
  for (int n = 0; n < 4; ++n) {
    auto rendered = renderer.next();
    if (!rendered) break;
    auto owned = std::make_shared<synth::RenderedFrame>(std::move(*rendered));
    clip::Frame frame;
    frame.number = n;
    frame.time_s = 0.3 * n;  // far enough apart to be measured each
    frame.width_px = renderer.stored_width();
    frame.height_px = renderer.stored_height();
    frame.luma = {owned->planes[0].bytes.data(), owned->planes[0].width, owned->planes[0].width,
                  owned->planes[0].height};
    frame.owner = owned;
    camera::View view;
    view.known = n >= unknown;
    if (!view.known) view.ref_from_px.shift = {40, 0};  // the last one known, and no more true
    finder.push(frame, view);
  }
  return finder.finish();
}

TEST(FindScale, TheTagCardSeenSquarely) {
  const auto scale = scale_of(small_scene());
  ASSERT_TRUE(scale) << sentence(scale.error());
  EXPECT_EQ(scale->from, ScaleFrom::tags);
  EXPECT_NEAR(*scale->px_per_cm, 14.0, 14.0 * 0.0005);
  EXPECT_LT(*scale->tilt_deg, 1.5);
  EXPECT_LT(*scale->fit_rms_px, 0.1);
}

// From afar a tag's border is three pixels wide, and soft.
TEST(FindScale, AFarCardIsMeasuredAsWell) {
  for (const double px_per_cm : {5.0, 7.0}) {
    for (const double blur_px : {0.5, 1.0}) {
      synth::Scene scene = small_scene();
      scene.camera.px_per_cm = px_per_cm;
      scene.camera.blur_px = blur_px;
      const auto scale = scale_of(scene);
      ASSERT_TRUE(scale) << sentence(scale.error());
      EXPECT_NEAR(*scale->px_per_cm, px_per_cm, px_per_cm * 0.001) << blur_px;
      EXPECT_TRUE(scale->notes.empty()) << scale->notes.front().code;
    }
  }
}

TEST(FindScale, NothingIsReadWhereTheCameraIsNotKnown) {
  const auto scale = scale_of(small_scene(), {}, 2);
  ASSERT_TRUE(scale);
  EXPECT_LT(*scale->fit_rms_px, 0.5);
  for (const Note& note : scale->notes) EXPECT_NE(note.code, "card-moved");
  const auto never = scale_of(small_scene(), {}, 4);
  ASSERT_FALSE(never);
  EXPECT_EQ(never.error().fault, Fault::card_not_found);
}

TEST(FindScale, ATurnIsSharedOutBetweenCardAndCamera) {
  synth::Scene scene = small_scene();
  scene.camera.distance_m = 0.9;
  scene.cards.front().turn_deg = 12;
  ScaleOptions options;
  options.distance_m = 0.9;
  const auto scale = scale_of(scene, options);
  ASSERT_TRUE(scale) << sentence(scale.error());
  EXPECT_NEAR(*scale->tilt_deg, 12, 2);
  // Straight up along the card, 10 cm are 10 cm: its upright edge is not foreshortened by a turn about it.
  const auto px_from_cm = scale->cm_from_px->inverse();
  ASSERT_TRUE(px_from_cm);
  const Point low = px_from_cm->map({0, -5});
  const Point high = px_from_cm->map({0, 5});
  EXPECT_NEAR(std::hypot(high.x - low.x, high.y - low.y), 140.0, 0.5);
  // 25 cm to the right a plane that goes away by half the turn is farther off by 25 sin 6 deg, and its scale smaller by
  // as much of the distance; both priors are 4 degrees.
  const Point beside_low = px_from_cm->map({25, -5});
  const Point beside_high = px_from_cm->map({25, 5});
  const double away_cm = 25 * std::sin(6 * M_PI / 180);
  EXPECT_NEAR(std::hypot(beside_high.x - beside_low.x, beside_high.y - beside_low.y), 140.0 * 90 / (90 + away_cm), 0.6);
}

TEST(FindScale, TwoCardsAreOneTooMany) {
  synth::Scene scene = small_scene();
  scene.cards.push_back(scene.cards.front());
  scene.cards.back().x_cm = 12;
  scene.cards.back().y_cm = 34;
  const auto scale = scale_of(scene);
  ASSERT_FALSE(scale);
  EXPECT_EQ(scale.error().fault, Fault::card_doubtful);
}

TEST(FindScale, HalfACardIsNotTrusted) {
  synth::Scene scene = small_scene();
  scene.camera.x_cm = 12;  // the card's left half leaves the picture
  scene.cards.front().x_cm = 12 - 960 / 14.0 / 2;
  const auto scale = scale_of(scene);
  ASSERT_FALSE(scale);
  EXPECT_EQ(scale.error().fault, Fault::card_doubtful);
}

TEST(FindScale, NoCardNoCentimetres) {
  synth::Scene scene = small_scene();
  scene.cards.clear();
  const auto scale = scale_of(scene);
  ASSERT_FALSE(scale);
  EXPECT_EQ(scale.error().fault, Fault::card_not_found);
  ScaleOptions none;
  none.card = CardKind::none;
  const auto pixels = scale_of(scene, none);
  ASSERT_TRUE(pixels);
  EXPECT_FALSE(pixels->cm_from_px);
  none.px_per_cm = 14;
  const auto by_hand = scale_of(scene, none);
  ASSERT_TRUE(by_hand);
  EXPECT_EQ(by_hand->from, ScaleFrom::given);
  EXPECT_NEAR(by_hand->cm_from_px->map({0, 0}).y - by_hand->cm_from_px->map({0, 140}).y, 10, 1e-9);
}

TEST(FindScale, AnIdCardIsFoundByItsOutline) {
  synth::Scene scene = small_scene();
  scene.cards.front().kind = synth::CardKind::id_1;
  scene.cards.front().colour = {0.1, 0.12, 0.16};
  scene.cards.front().y_cm = 22;  // before the plain wall, clear of skirting board and floor
  ScaleOptions options;
  options.card = CardKind::id_1;
  const auto scale = scale_of(scene, options);
  ASSERT_TRUE(scale) << sentence(scale.error());
  EXPECT_EQ(scale->from, ScaleFrom::id_1);
  EXPECT_NEAR(*scale->px_per_cm, 14.0, 3 * *scale->px_per_cm_u);
  EXPECT_NEAR(*scale->px_per_cm, 14.0, 0.14);
}

TEST(FindScale, ACardBehindTheStickerIsBroughtToItsPlane) {
  synth::Scene scene = small_scene();
  scene.cards.front().offset_cm = 10;
  ScaleOptions options;
  options.card_offset_cm = 10;
  options.distance_m = scene.camera.distance_m;
  const auto scale = scale_of(scene, options);
  ASSERT_TRUE(scale) << sentence(scale.error());
  EXPECT_NEAR(*scale->px_per_cm, 14.0, 14.0 * 0.001);
  const auto untold = scale_of(scene);
  ASSERT_TRUE(untold);
  EXPECT_NEAR(*untold->px_per_cm, 14.0 * 260 / 270, 14.0 * 0.001);
}

TEST(FindScale, OptionsAreChecked) {
  for (const double wrong : {0.0, -1.0, 1e9, std::nan("")}) {
    ScaleOptions options;
    options.px_per_cm = wrong;
    EXPECT_FALSE(check(options)) << wrong;
  }
  ScaleOptions offset;
  offset.card_offset_cm = 5;
  EXPECT_FALSE(check(offset));
  offset.distance_m = 2;
  EXPECT_TRUE(check(offset));
}

}  // namespace
}  // namespace risetrace::scale
