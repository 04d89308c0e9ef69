// What the first seconds of a clip show of how it is filmed, what that costs, and whether it will do.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/geometry.h"
#include "clip/clip_facts.h"
#include "clip/frame.h"
#include "clip/picture_light.h"
#include "measure/measurement.h"
#include "scale/card_look.h"
#include "scale/scale.h"
#include "sticker/spot.h"

namespace risetrace::measure {

struct CardSeen {
  std::array<Point, 4> outline_px;      // upright pixels: top left, top right, bottom right, bottom left
  double height_cm = 0.0;               // of the whole card, upright
  double to_picture_edge_cm = 0.0;      // of the outline's nearest corner; negative: outside
  double lean_deg = 0.0;                // of its upright edge from the picture's; clockwise as seen positive
  double seen_distance_m = 0.0;         // camera to card by its size, as a usual phone films
  std::optional<scale::CardLook> look;  // the printed card's only
};

struct StickerSeen {
  sticker::Spot spot;
  double brightest_grey = 0.0;  // inside of it
  int others = 0;               // spots that look about as good and could be meant as well
};

// Around the foot. Empty: not known.
struct Room {
  std::optional<double> above_cm;        // the sticker may rise so far before it leaves the picture
  std::optional<double> floor_below_cm;  // of floor in view below the sole; negative: the sole is not in view
  std::optional<bool> toes_in_view;      // room for the toes, and some, on the side they are taken to point to
  std::optional<double> floor_contrast;  // grey levels, sole to floor, on that side
};

struct Setup {
  Test test = Test::heel_raise;
  clip::ClipFacts clip;  // of the part that was read
  double looked_s = 0.0;
  bool bank_card = false;  // the stand-in, not the printed card, was looked for
  double card_offset_cm = 0.0;
  std::optional<double> distance_m;  // camera to sticker, as stated
  scale::Scale scale;                // `none` where there is no card
  std::optional<CardSeen> card;
  std::optional<Error> card_trouble;
  bool picture_turned = false;  // the card lies on its side or its head: nothing rises as it should
  std::optional<StickerSeen> sticker;
  std::optional<Error> sticker_trouble;
  clip::PictureLight light;
  std::optional<double> sway_px;  // of the camera, as it moves the card's middle up and down, without a card the
                                  // picture's: standard deviation; empty: cannot be told
  Room room;
};

// Where an error comes from.
enum class ErrorFrom {
  card_depth,
  card_print,
  card_size,
  card_facing,
  card_lean,
  lens,
  sticker_reading,
  camera,
  frames,
  program
};

struct ErrorPart {
  ErrorFrom from = ErrorFrom::card_depth;
  double u = 0.0;  // standard uncertainty, the unit of what it is a part of
};

// Standard uncertainties (JCGM 100:2008, 5.1.2), the parts greatest first. Empty: it cannot be told.
struct ExpectedError {
  double rise_cm = 0.0;  // the rise it is told of
  std::optional<double> height_u_cm;
  std::vector<ErrorPart> height_parts;
  std::optional<double> contact_u_ms;  // hops only
  std::vector<ErrorPart> contact_parts;
};

// Each has its words in report/check_words.cpp.
enum class Limit {
  card_trouble,
  sticker_trouble,
  no_scale,
  sticker_leaves,
  room_above_short,
  floor_out_of_view,
  toes_out_of_view,
  floor_not_told,
  sole_pale,
  card_tilted,
  card_leans,
  card_far_aside,
  card_small,
  card_partly,
  card_near_edge,
  card_clipped,
  camera_near,
  distance_differs,
  several_stickers,
  sticker_small,
  sticker_pale,
  sticker_clipped,
  dark,
  noisy,
  blurred,
  reading_unsure,
  camera_moves,
  camera_unknown,
  rate_low,
  frames_uneven,
  slow_motion_untold
};

// What a finding means to who films.
enum class Weight {
  stops,       // nothing can be measured
  takes_away,  // a part of the result will be missing
  costs,       // the result is less sure, by `cost`
  look         // it may go wrong
};

struct Finding {
  Limit limit = Limit::card_trouble;
  Weight weight = Weight::look;
  std::optional<double> cost_cm;  // half-width of the 95 % interval that this alone would make of the rise told of
  std::optional<double> cost_ms;  // of a time on the ground
  double seen = 0.0;              // what the words are told with: degrees, pixels ..., as the limit is
};

enum class Verdict { good, usable, not_measurable };

struct Check {
  Setup setup;
  ExpectedError expected;
  std::vector<Finding> findings;  // what costs most first
  Verdict verdict = Verdict::usable;
  std::optional<Error> stopped_by;  // with not_measurable
  clip::Frame first;                // the first frame, with its colours
};

// Half-width of the interval in which 95 % lie, in standard uncertainties (JCGM 100:2008, 6.3.3, normal).
inline constexpr double coverage_95 = 1.96;

}  // namespace risetrace::measure
