// A set-up made by hand, one thing wrong at a time, against the finding it must give; a good one gives none.
#include "measure/find_limits.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>

#include "measure/expect_error.h"
#include "measure/height_budget.h"
#include "model/read_models.h"
#include "place.h"

namespace risetrace::measure {
namespace {

constexpr double cutoff_hz = 10;  // as models/heel-raise.json has it

const model::Models& models() {
  static const auto read = model::read_models(test::source_folder() / "models");
  return *read;
}

// As it would be were every centimetre longer by `relative`, and the plane turned so that lengths grow by `per_cm` for
// each centimetre to the right and up.
void doubt(scale::Scale& s, scale::DoubtFrom from, double relative, double per_cm = 0) {
  scale::ScaleDoubt doubt;
  doubt.from = from;
  const double cm = 0.1 * (1 + relative);
  const math::Homography px_from_cm{{1 / cm, 0, 700, 0, -1 / cm, 900, -per_cm, -per_cm, 1}};
  doubt.cm_from_px = *px_from_cm.inverse();
  s.doubts.push_back(doubt);
}

// 1080p, 10 px/cm, 2.5 m away, the heel's sticker 20 cm right of the card's middle and 2 cm below it.
Setup good_setup(risetrace::Test test = risetrace::Test::heel_raise) {
  Setup s;
  s.test = test;
  s.clip.width_px = 1920;
  s.clip.height_px = 1080;
  s.clip.frame_rate_hz = test == risetrace::Test::hop ? 240 : 60;
  s.looked_s = 3;
  s.scale.from = scale::ScaleFrom::tags;
  s.scale.cm_from_px = math::Homography{{0.1, 0, -70, 0, -0.1, 90, 0, 0, 1}};
  s.scale.px_per_cm = 10;
  s.scale.px_per_cm_u = 10 * std::hypot(0.0005, 0.002, 1.0 / 250);
  s.scale.tilt_deg = 1;
  s.scale.distance_m = 2.5;
  doubt(s.scale, scale::DoubtFrom::fit, 0.0005, 2e-5);
  doubt(s.scale, scale::DoubtFrom::print, 0.002);
  doubt(s.scale, scale::DoubtFrom::plane_offset, 1.0 / 250);
  CardSeen card;
  card.outline_px = {Point{620, 820}, Point{780, 820}, Point{780, 980}, Point{620, 980}};
  card.height_cm = 16;
  card.to_picture_edge_cm = 9.9;
  card.seen_distance_m = 1.5;
  card.look = scale::CardLook{210, 30, 0.8};
  s.card = card;
  StickerSeen sticker;
  sticker.spot.px = {900, 920};
  sticker.spot.look.outer_radius_px = 10;
  sticker.spot.look.disc_step = 150;
  sticker.spot.look.soft_px = 0.5;
  sticker.spot.sigma_px = 0.01;
  sticker.spot.scatter_px = 0.01;
  sticker.brightest_grey = 215;
  s.sticker = sticker;
  s.light = {210, 0, 1.5};
  s.sway_px = 0.02;
  s.room = {60, 9.9, true, 90};
  return s;
}

std::vector<Finding> findings_of(const Setup& setup) {
  return find_limits(setup, expect_error(setup, models().cards, models().check, cutoff_hz), models().check);
}

Verdict verdict(const Setup& setup) {
  const ExpectedError expected = expect_error(setup, models().cards, models().check, cutoff_hz);
  return verdict_of(setup, expected, find_limits(setup, expected, models().check), models().check);
}

struct Wrong {
  const char* name;
  Test test;
  Limit limit;
  Weight weight;
  std::function<void(Setup&)> spoil;
};

std::vector<Wrong> all_wrong() {
  const Test raise = risetrace::Test::heel_raise;
  const Test hop = risetrace::Test::hop;
  return {
      {"NoCard", raise, Limit::card_trouble, Weight::stops,
       [](Setup& s) {
         s.card.reset();
         s.scale = {};
         s.card_trouble = Error{Fault::card_not_found, "none of its four tags was seen", ""};
       }},
      {"NoCardForHops", hop, Limit::card_trouble, Weight::takes_away,
       [](Setup& s) {
         s.scale = {};
         s.card_trouble = Error{Fault::card_not_found, "none of its four tags was seen", ""};
       }},
      {"NoScaleAsked", raise, Limit::no_scale, Weight::takes_away,
       [](Setup& s) {
         s.card.reset();
         s.scale = {};
       }},
      {"NoSticker", raise, Limit::sticker_trouble, Weight::stops,
       [](Setup& s) {
         s.sticker.reset();
         s.sticker_trouble = Error{Fault::sticker_not_found, "nothing round", ""};
       }},
      {"NoRoom", raise, Limit::sticker_leaves, Weight::stops, [](Setup& s) { s.room.above_cm = 3; }},
      {"LittleRoom", raise, Limit::room_above_short, Weight::look, [](Setup& s) { s.room.above_cm = 11; }},
      {"LittleRoomForHops", hop, Limit::room_above_short, Weight::look, [](Setup& s) { s.room.above_cm = 16; }},
      {"NoFloor", hop, Limit::floor_out_of_view, Weight::takes_away, [](Setup& s) { s.room.floor_below_cm = -1; }},
      {"LittleFloor", hop, Limit::floor_out_of_view, Weight::look, [](Setup& s) { s.room.floor_below_cm = 0.8; }},
      {"ToesOutside", hop, Limit::toes_out_of_view, Weight::takes_away, [](Setup& s) { s.room.toes_in_view = false; }},
      {"SolePale", hop, Limit::sole_pale, Weight::look, [](Setup& s) { s.room.floor_contrast = 6; }},
      {"SoleNotTold", hop, Limit::floor_not_told, Weight::look,
       [](Setup& s) {
         s.room = {60, {}, {}, {}};
       }},
      {"CardTilted", raise, Limit::card_tilted, Weight::costs,
       [](Setup& s) {
         s.scale.tilt_deg = 15;
         doubt(s.scale, scale::DoubtFrom::card_stance, 0, 4e-4);
       }},
      {"CardLeans", raise, Limit::card_leans, Weight::costs, [](Setup& s) { s.card->lean_deg = -5; }},
      {"CardFarAside", raise, Limit::card_far_aside, Weight::costs,
       [](Setup& s) { doubt(s.scale, scale::DoubtFrom::view, 0, 6e-4); }},
      {"CardSmall", raise, Limit::card_small, Weight::costs,
       [](Setup& s) { doubt(s.scale, scale::DoubtFrom::fit, 0.01); }},
      {"CardAtTheEdge", raise, Limit::card_near_edge, Weight::look, [](Setup& s) { s.card->to_picture_edge_cm = 0.4; }},
      {"CardPartly", raise, Limit::card_partly, Weight::look,
       [](Setup& s) {
         s.scale.notes.push_back({"card-partly-seen", "Not all.", {}});
       }},
      {"CardTooBright", raise, Limit::card_clipped, Weight::look, [](Setup& s) { s.card->look->white_grey = 254; }},
      {"CameraNear", raise, Limit::camera_near, Weight::costs,
       [](Setup& s) {
         s.distance_m = s.scale.distance_m = 0.9;
         doubt(s.scale, scale::DoubtFrom::plane_offset, 1.0 / 90);
       }},
      {"DistanceMistyped", raise, Limit::distance_differs, Weight::look, [](Setup& s) { s.distance_m = 25; }},
      {"ManyStickers", raise, Limit::several_stickers, Weight::look, [](Setup& s) { s.sticker->others = 2; }},
      {"StickerSmall", raise, Limit::sticker_small, Weight::costs,
       [](Setup& s) { s.sticker->spot.look.outer_radius_px = 3; }},
      {"StickerPale", raise, Limit::sticker_pale, Weight::costs,
       [](Setup& s) { s.sticker->spot.look.disc_step = -30; }},
      {"StickerTooBright", raise, Limit::sticker_clipped, Weight::look,
       [](Setup& s) { s.sticker->brightest_grey = 255; }},
      {"Dark", raise, Limit::dark, Weight::costs, [](Setup& s) { s.card->look->white_grey = 60; }},
      {"Noisy", raise, Limit::noisy, Weight::costs, [](Setup& s) { s.light.noise_grey = 9; }},
      {"BlurredSticker", raise, Limit::blurred, Weight::costs, [](Setup& s) { s.sticker->spot.look.soft_px = 3.5; }},
      {"BlurredCard", raise, Limit::blurred, Weight::costs, [](Setup& s) { s.card->look->blur_px = 3; }},
      {"StickerUnsure", raise, Limit::reading_unsure, Weight::costs,
       [](Setup& s) { s.sticker->spot.scatter_px = 1.0; }},
      {"HandHeld", raise, Limit::camera_moves, Weight::costs, [](Setup& s) { s.sway_px = 3; }},
      {"CameraNotTold", raise, Limit::camera_unknown, Weight::look, [](Setup& s) { s.sway_px.reset(); }},
      {"TooSlowForRaises", raise, Limit::rate_low, Weight::look, [](Setup& s) { s.clip.frame_rate_hz = 15; }},
      {"TooSlowForHops", hop, Limit::rate_low, Weight::costs, [](Setup& s) { s.clip.frame_rate_hz = 30; }},
      {"FramesMissing", raise, Limit::frames_uneven, Weight::look, [](Setup& s) { s.clip.timing_irregular = true; }},
      {"SlowMotionUntold", hop, Limit::slow_motion_untold, Weight::takes_away,
       [](Setup& s) {
         s.clip.notes.push_back({"clock-may-be-stretched", "It may be.", {}});
       }},
  };
}

class OneThingWrong : public testing::TestWithParam<Wrong> {};

}  // namespace

TEST(FindLimits, NothingIsWrongWithAGoodSetup) {
  for (const risetrace::Test test : {risetrace::Test::heel_raise, risetrace::Test::hop}) {
    const auto setup = good_setup(test);
    EXPECT_EQ(findings_of(setup).size(), 0U);
    EXPECT_EQ(verdict(setup), Verdict::good);
  }
}

TEST_P(OneThingWrong, IsFoundAndNothingElseIs) {
  const Wrong& wrong = GetParam();
  auto setup = good_setup(wrong.test);
  wrong.spoil(setup);
  const auto findings = findings_of(setup);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].limit, wrong.limit);
  EXPECT_EQ(findings[0].weight, wrong.weight);
  EXPECT_EQ(wrong.weight == Weight::costs, findings[0].cost_cm || findings[0].cost_ms);
  const Verdict said = verdict(setup);
  EXPECT_EQ(said == Verdict::not_measurable, wrong.weight == Weight::stops);
  EXPECT_EQ(stopped_by(setup, findings).has_value(), wrong.weight == Weight::stops);
  if (wrong.weight == Weight::takes_away) {
    EXPECT_EQ(said, Verdict::usable);
  }
}

INSTANTIATE_TEST_SUITE_P(Each, OneThingWrong, testing::ValuesIn(all_wrong()),
                         [](const auto& given) { return std::string(given.param.name); });

// Nothing else comes of it: heel raises do not look at the floor, and need no 100 frames a second.
TEST(FindLimits, HeelRaisesDoNotNeedWhatHopsNeed) {
  auto setup = good_setup();
  setup.clip.frame_rate_hz = 30;
  setup.room = {16, -1, false, 2};
  EXPECT_EQ(findings_of(setup).size(), 0U);
}

TEST(FindLimits, WhatStopsComesFirstThenWhatCostsMost) {
  auto setup = good_setup();
  setup.sticker->others = 1;
  setup.scale.tilt_deg = 12;
  doubt(setup.scale, scale::DoubtFrom::card_stance, 0, 4e-4);
  setup.sway_px = 8;
  setup.room.above_cm = 2;
  const auto findings = findings_of(setup);
  ASSERT_EQ(findings.size(), 4U);
  EXPECT_EQ(findings[0].limit, Limit::sticker_leaves);
  EXPECT_EQ(findings[1].limit, Limit::card_tilted);
  EXPECT_EQ(findings[2].limit, Limit::camera_moves);
  EXPECT_EQ(findings[3].limit, Limit::several_stickers);
}

// Worked out by hand from JCGM 100:2008, 5.1.2 (derived here).
TEST(ExpectError, JoinsItsParts) {
  auto setup = good_setup();
  setup.sway_px = 0.5;
  const ExpectedError e = expect_error(setup, models().cards, models().check, cutoff_hz);
  // Heights go with the scale; the turn lengthens or shortens the rise by what the map says of it.
  const double turn_cm = setup.scale.doubts[0].map({900, 820}).y - setup.scale.doubts[0].map({900, 920}).y - 10;
  const double scale_cm = std::hypot(turn_cm, 10 * 0.002, 10 * 0.004);
  const double kept = measure::noise_shares(cutoff_hz, 60).kept;
  const double reading_cm = std::sqrt(2 * (kept * 0.01 * 0.01 + std::pow(models().cards.view.localising_u_px, 2))) / 10;
  const double camera_cm = std::sqrt(2.0) * models().cards.view.sway_left * 0.05;
  ASSERT_TRUE(e.height_u_cm);
  EXPECT_NEAR(*e.height_u_cm, std::hypot(scale_cm, reading_cm, camera_cm), 1e-6);
  EXPECT_EQ(e.height_parts.front().from, ErrorFrom::card_depth);
  EXPECT_FALSE(e.contact_u_ms) << "heel raises have no time on the ground";
}

// An interval between two events picked by whole frames: T / sqrt 6 (derived here); 240 a second is read finer.
TEST(ExpectError, TimesFollowTheFrameRate) {
  const auto part = [](double rate_hz) {
    auto setup = good_setup(risetrace::Test::hop);
    setup.clip.frame_rate_hz = rate_hz;
    const ExpectedError e = expect_error(setup, models().cards, models().check, cutoff_hz);
    for (const ErrorPart& p : e.contact_parts) {
      if (p.from == ErrorFrom::frames) return p.u;
    }
    return std::nan("");
  };
  EXPECT_NEAR(part(30), 1000.0 / 30 / std::sqrt(6.0), 1e-9);
  EXPECT_LT(part(60), 1000.0 / 60 / std::sqrt(6.0));
  EXPECT_NEAR(part(120) / part(240), 2, 1e-9);
}

TEST(ExpectError, IsNotGivenWhereItCannotBeTold) {
  auto by_hand = good_setup();
  by_hand.scale.px_per_cm_u.reset();
  by_hand.scale.doubts.clear();
  EXPECT_FALSE(expect_error(by_hand, models().cards, models().check, cutoff_hz).height_u_cm);
  auto no_floor = good_setup(risetrace::Test::hop);
  no_floor.room.floor_below_cm = -2;
  EXPECT_FALSE(expect_error(no_floor, models().cards, models().check, cutoff_hz).contact_u_ms);
}

}  // namespace risetrace::measure
