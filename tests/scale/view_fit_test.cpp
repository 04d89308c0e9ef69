// The sticker's plane from a card's corners, and whether the stated uncertainty holds what it should. The camera here
// is written anew, so that the model of src/ is not tested by itself.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <map>
#include <random>

#include "model/read_models.h"
#include "place.h"
#include "scale/scale_of_plane.h"

namespace risetrace::scale {
namespace {

using Vector = std::array<double, 3>;

struct Made {
  double yaw_deg = 0.0;    // camera, to the left
  double pitch_deg = 0.0;  // camera, down
  double roll_deg = 0.0;
  double height_cm = 15.0;
  double focal_px = 1024.0;
  double distance_cm = 128.0;
  double turn_deg = 0.0;
  double lean_deg = 0.0;
  double card_roll_deg = 0.0;
  double offset_cm = 0.0;
  double print = 1.0;
  double stretch = 1.0;
  double k1 = 0.0;
  double corner_noise_px = 0.0;
  double facing = 1.0;  // -1: the card stands on the right
  int width_px = 1280;
  int height_px = 720;
};

constexpr double rad = M_PI / 180;

// Turned from axis a towards axis b.
void turn(Vector& v, std::size_t a, std::size_t b, double angle_deg) {
  const double c = std::cos(angle_deg * rad);
  const double s = std::sin(angle_deg * rad);
  const double at_a = v.at(a);
  v.at(a) = c * at_a - s * v.at(b);
  v.at(b) = s * at_a + c * v.at(b);
}

// Scene: x right, y up from the card's foot, z towards the camera, the sticker's plane z = 0; the camera stands before
// x = 22 (towards the leg).
Point pictured(const Made& made, Vector spot) {
  Vector v = {spot[0] - 22 * made.facing, spot[1] - made.height_cm, spot[2] - made.distance_cm};
  turn(v, 0, 2, made.yaw_deg);
  turn(v, 1, 2, made.pitch_deg);
  turn(v, 0, 1, made.roll_deg);
  const double x = v[0] / -v[2];
  const double y = v[1] / -v[2];
  const double grown = made.focal_px * (1 + made.k1 * (x * x + y * y));
  return {(made.width_px - 1) / 2.0 + grown * x, (made.height_px - 1) / 2.0 - grown * y};
}

Vector on_card(const Made& made, Point cm) {
  Vector v = {cm.x * made.print, cm.y * made.print * made.stretch, 0};
  turn(v, 0, 1, made.card_roll_deg);
  turn(v, 2, 1, made.lean_deg);
  turn(v, 2, 0, made.turn_deg);
  return {v[0], v[1] + 8, v[2] - made.offset_cm};
}

template <typename Random>
PlaneView seen_by(const Made& made, const model::Cards& cards, Random& random) {
  std::normal_distribution<double> noise(0, made.corner_noise_px);
  PlaneView view;
  view.picture_width_px = made.width_px;
  view.picture_height_px = made.height_px;
  for (const model::TagPattern& tag : cards.tags.tags) {
    for (const Point corner : model::tag_corners_cm(cards.tags, tag)) {
      Point px = pictured(made, on_card(made, corner));
      if (made.corner_noise_px > 0) px = {px.x + noise(random), px.y + noise(random)};
      view.corners.push_back(
          {corner, {corner.x > tag.centre_cm.x ? 1.0 : -1.0, corner.y > tag.centre_cm.y ? 1.0 : -1.0}, px});
    }
  }
  return view;
}

struct Rise {
  double height_cm = 0.0;
  double u_cm = 0.0;
  std::map<DoubtFrom, double> parts_cm;
};

// A heel 25 cm beside the card's middle goes up from 6 to 16 cm and 4 cm forward.
Rise rise_of(const Made& made, const Scale& scale) {
  const Point low = pictured(made, {25 * made.facing, 6, 0});
  const Point high = pictured(made, {29 * made.facing, 16, 0});
  Rise rise;
  rise.height_cm = scale.cm_from_px->map(high).y - scale.cm_from_px->map(low).y;
  for (const ScaleDoubt& doubt : scale.doubts) {
    const double effect = doubt.map(high).y - doubt.map(low).y - rise.height_cm;
    rise.parts_cm[doubt.from] = std::hypot(rise.parts_cm[doubt.from], effect);
    rise.u_cm = std::hypot(rise.u_cm, effect);
  }
  return rise;
}

model::Cards shipped_cards() {
  const auto models = model::read_models(test::source_folder() / "models");
  return models->cards;
}

Made drawn(const model::Cards& cards, std::mt19937& random) {
  std::normal_distribution<double> z(0, 1);
  const model::ViewPriors& known = cards.view;
  Made made;
  made.yaw_deg = known.yaw_u_deg * z(random);
  made.pitch_deg = known.pitch_u_deg * z(random);
  made.roll_deg = 1.5 * z(random);
  made.focal_px = 1280 / cards.usual_field_of_view * std::exp(known.focal_log_u * z(random));
  made.distance_cm = made.focal_px / 8;
  made.turn_deg = known.card_turn_u_deg * z(random);
  made.lean_deg = known.card_lean_u_deg * z(random);
  made.card_roll_deg = known.card_roll_u_deg * z(random);
  made.offset_cm = cards.plane_offset_u_cm * z(random);
  made.print = 1 + cards.print_scale_u * z(random);
  made.stretch = 1 + cards.print_stretch_u * z(random);
  made.k1 = known.k1_u * z(random);
  made.corner_noise_px = 0.1;
  made.facing = z(random) > 0 ? 1 : -1;
  return made;
}

TEST(ViewFit, HoldsTheTruthAsOftenAsItSays) {
  const model::Cards cards = shipped_cards();
  std::mt19937 random(7);
  int within = 0;
  constexpr int draws = 2000;
  double squares = 0;
  for (int i = 0; i < draws; ++i) {
    const Made made = drawn(cards, random);
    const auto scale = scale_of_plane(seen_by(made, cards, random), cards);
    ASSERT_TRUE(scale.has_value());
    const Rise rise = rise_of(made, *scale);
    const double off = (rise.height_cm - 10) / rise.u_cm;
    if (std::abs(off) <= 1.96) ++within;
    squares += off * off;
  }
  // Four standard deviations of a share of 0.95 among so many are 0.02.
  EXPECT_NEAR(within / static_cast<double>(draws), 0.95, 0.02);
  EXPECT_NEAR(std::sqrt(squares / draws), 1.0, 0.07);
}

// Each input put off alone by one standard uncertainty moves the height by what its part says.
double error_of(const Made& made, const model::Cards& cards) {
  std::mt19937 none;
  const auto scale = scale_of_plane(seen_by(made, cards, none), cards);
  return scale ? rise_of(made, *scale).height_cm - 10 : std::nan("");
}

TEST(ViewFit, APartIsWhatItsSourceDoes) {
  const model::Cards cards = shipped_cards();
  std::mt19937 none;
  const auto scale = scale_of_plane(seen_by({}, cards, none), cards);
  ASSERT_TRUE(scale.has_value());
  auto parts = rise_of({}, *scale).parts_cm;
  EXPECT_NEAR(error_of({}, cards), 0, 1e-3);

  Made offset;
  offset.offset_cm = cards.plane_offset_u_cm;
  const double offset_error = std::abs(error_of(offset, cards));
  EXPECT_NEAR(offset_error, 10 * 1.0 / 128, 0.002);
  // The part also holds the product with the focal length, 0.35 of it: a factor of 1.06.
  EXPECT_NEAR(parts[DoubtFrom::plane_offset], std::hypot(1, cards.view.focal_log_u) * offset_error,
              0.03 * offset_error);

  Made print;
  print.print += cards.print_scale_u;
  Made stretch;
  stretch.stretch += cards.print_stretch_u;
  const double print_error = std::hypot(error_of(print, cards), error_of(stretch, cards));
  EXPECT_NEAR(parts[DoubtFrom::print], print_error, 0.1 * print_error);

  Made bent;
  bent.k1 = cards.view.k1_u / 10;  // in small, where one k1's effect is ten times a tenth's
  const double bent_error = 10 * std::abs(error_of(bent, cards));
  EXPECT_NEAR(parts[DoubtFrom::distortion], bent_error, 0.1 * bent_error);
}

TEST(ViewFit, ACardTurnedAndACameraAslantAreOffByTheSame) {
  const model::Cards cards = shipped_cards();
  Made card;
  card.turn_deg = 8;
  Made camera;
  camera.yaw_deg = 8;
  const double by_card = error_of(card, cards);
  const double by_camera = error_of(camera, cards);
  // Half the turn is taken for the camera's: some 27 sin 4 deg / 128 of 10 cm, 0.147.
  EXPECT_NEAR(std::abs(by_card), 0.147, 0.02);
  EXPECT_NEAR(std::abs(by_camera), 0.147, 0.02);
}

// Of a card that is seen to lean nothing tells whether the camera was held askew; both are within what is said.
TEST(ViewFit, ALeanMayBeTheCardsOrTheCameras) {
  const model::Cards cards = shipped_cards();
  std::mt19937 none;
  const double straight_u_cm = rise_of({}, *scale_of_plane(seen_by({}, cards, none), cards)).u_cm;
  for (const double deg : {-5.0, -3.0, 3.0, 5.0}) {
    Made card;
    card.card_roll_deg = deg;
    Made camera;
    camera.roll_deg = deg;
    for (const Made& made : {card, camera}) {
      const auto scale = scale_of_plane(seen_by(made, cards, none), cards);
      ASSERT_TRUE(scale.has_value());
      const Rise rise = rise_of(made, *scale);
      EXPECT_LT(std::abs(rise.height_cm - 10), 2 * rise.u_cm) << deg;
      EXPECT_GT(rise.u_cm, straight_u_cm);
      ASSERT_FALSE(scale->notes.empty());
      EXPECT_EQ(scale->notes.front().code, "card-leans");
    }
  }
}

// A phone held at the hip that looks down, a card against the wall: far beyond the priors, and whose the tilt is nobody
// can tell. Unwidened, the steepest of these would be off by four of its uncertainties.
TEST(ViewFit, AStanceFarBeyondThePriorsIsDoubtedTheMore) {
  const model::Cards cards = shipped_cards();
  std::mt19937 none;
  Made made;
  made.distance_cm = 200;
  made.focal_px = 1600;
  std::vector<Made> all;
  for (const double deg : {-24.0, -16.0, -8.0, 8.0, 16.0, 24.0}) {
    for (const auto stance : {&Made::turn_deg, &Made::yaw_deg, &Made::pitch_deg, &Made::lean_deg}) {
      all.push_back(made);
      all.back().*stance = deg;
    }
    if (deg < 0) continue;
    all.push_back(made);  // from above
    all.back().pitch_deg = deg;
    all.back().height_cm = 10 + 200 * std::tan(deg * rad);
  }
  for (const Made& one : all) {
    const auto scale = scale_of_plane(seen_by(one, cards, none), cards);
    ASSERT_TRUE(scale.has_value());
    const Rise rise = rise_of(one, *scale);
    EXPECT_LT(std::abs(rise.height_cm - 10), 2.5 * rise.u_cm)
        << one.turn_deg << " " << one.yaw_deg << " " << one.pitch_deg << " " << one.lean_deg << " " << one.height_cm;
  }
}

TEST(ViewFit, AToldDistanceAndOffsetAreUsed) {
  const model::Cards cards = shipped_cards();
  std::mt19937 none;
  Made made;
  made.offset_cm = 6;
  PlaneView view = seen_by(made, cards, none);
  view.card_offset_cm = 6;
  view.distance_m = 1.28;
  const auto scale = scale_of_plane(view, cards);
  ASSERT_TRUE(scale.has_value());
  EXPECT_NEAR(rise_of(made, *scale).height_cm, 10, 0.005);
}

// Off the optical axis the plane's origin, straight before the card's middle, is not where that middle is seen: of 6 cm
// at 128 cm, 22 cm aside, some 8 px.
TEST(ViewFit, TheOutlineIsTheCardsWhereverItStands) {
  const model::Cards cards = shipped_cards();
  std::mt19937 none;
  for (const double offset_cm : {0.0, 6.0, -10.0}) {
    Made made;
    made.offset_cm = offset_cm;
    made.yaw_deg = 3;
    PlaneView view = seen_by(made, cards, none);
    view.card_offset_cm = offset_cm;
    view.distance_m = 1.28;
    const auto scale = scale_of_plane(view, cards);
    ASSERT_TRUE(scale && scale->card_outline_px);
    const double half = cards.tags.side_cm / 2;
    const std::array<Point, 4> corners = {Point{-half, half}, {half, half}, {half, -half}, {-half, -half}};
    for (std::size_t i = 0; i < 4; ++i) {
      const Point truth = pictured(made, on_card(made, corners.at(i)));
      EXPECT_NEAR(scale->card_outline_px->at(i).x, truth.x, 0.1) << offset_cm;
      EXPECT_NEAR(scale->card_outline_px->at(i).y, truth.y, 0.1) << offset_cm;
    }
    if (offset_cm == 6) {
      const Point origin_px = scale->cm_from_px->inverse()->map({0, 0});
      const Point middle_px = pictured(made, on_card(made, {0, 0}));
      EXPECT_GT(std::hypot(origin_px.x - middle_px.x, origin_px.y - middle_px.y), 4);
    }
  }
}

TEST(ViewFit, CornersOnALineAreNoPlane) {
  const model::Cards cards = shipped_cards();
  PlaneView view;
  view.picture_width_px = 1280;
  view.picture_height_px = 720;
  for (int i = 0; i < 8; ++i) view.corners.push_back({{1.0 * i, 2.0 * i}, {1, 1}, {100.0 + 10 * i, 100.0 + 20 * i}});
  EXPECT_FALSE(scale_of_plane(view, cards).has_value());
}

}  // namespace
}  // namespace risetrace::scale
