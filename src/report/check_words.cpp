#include "report/check_words.h"

#include <array>
#include <cmath>

#include "report/words.h"

namespace risetrace::report {
namespace {

using measure::ErrorFrom;
using measure::Limit;
using measure::Verdict;
using measure::Weight;

constexpr std::array limit_keys = {"card",
                                   "sticker",
                                   "no-scale",
                                   "sticker-leaves",
                                   "room-above",
                                   "floor-hidden",
                                   "toes-hidden",
                                   "floor-not-told",
                                   "sole-pale",
                                   "card-tilted",
                                   "card-leans",
                                   "card-far-aside",
                                   "card-small",
                                   "card-partly",
                                   "card-near-edge",
                                   "card-too-bright",
                                   "camera-near",
                                   "distance-differs",
                                   "several-stickers",
                                   "sticker-small",
                                   "sticker-pale",
                                   "sticker-too-bright",
                                   "dark",
                                   "noisy",
                                   "blurred",
                                   "reading-unsure",
                                   "camera-moves",
                                   "camera-not-told",
                                   "frame-rate",
                                   "frames-uneven",
                                   "slow-motion"};
static_assert(limit_keys.size() == static_cast<std::size_t>(Limit::slow_motion_untold) + 1);

std::string trouble(const std::optional<Error>& error) {
  if (!error) return "It was not found.";
  std::string why = error->why;
  if (!why.empty()) why[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(why[0])));
  return why + ".";
}

Said said_of_place(const measure::Finding& f) {
  const std::string degrees = fixed(f.seen, 0) + " degrees";
  switch (f.limit) {
    case Limit::card_tilted:
      return {"The card is turned away by " + degrees + ".", "Turn it to face the camera."};
    case Limit::card_leans:
      return {"The card leans by " + degrees + " in the picture.",
              "Stand it upright on the floor and set the camera level."};
    case Limit::card_far_aside:
      return {
          "The card stands far from the sticker for so near a camera: a slight turn of it, which cannot be seen, shows "
          "in the heights.",
          "Stand the card closer beside the foot, or film from farther away."};
    case Limit::card_small:
      return {"The card is small: " + fixed(f.seen, 1) + " pixels per centimetre.",
              "Film closer, or with more pixels."};
    case Limit::card_partly:
      return {"One corner of the card cannot be seen well.", "Show the whole card, flat and evenly lit."};
    case Limit::card_near_edge:
      return {f.seen < 0 ? std::string("The card reaches beyond the picture.")
                         : "The card is " + fixed(f.seen, 1) + " cm from the picture's edge.",
              "Turn the camera so that the whole card is well inside."};
    case Limit::camera_near:
      return {
          "The camera seems to be only " + fixed(f.seen, 1) + " m away: there it matters most where the card stands.",
          "Move it 2 to 3 m away."};
    case Limit::distance_differs:
      return {"By the card's size the camera is about " + fixed(f.seen, 1) + " m away, not as --distance says.",
              "Measure the distance again, and check that the card is printed at 100 %."};
    case Limit::camera_moves:
      return {
          "The camera moves: the picture sways by " + fixed(f.seen, 1) + " pixels. Most of that is taken out again.",
          "Stand it on a tripod or a stack of books."};
    default:
      return {"It cannot be told whether the camera stands still: too little in the picture stands out.",
              "Stand it on a tripod or a stack of books."};
  }
}

Said said_of_sticker(const measure::Finding& f) {
  switch (f.limit) {
    case Limit::several_stickers:
      return {fixed(f.seen, 0) + (f.seen > 1 ? " other spots look" : std::string(" other spot looks")) +
                  " like the sticker. The heel's will be told by its movement.",
              "If the wrong one is followed, give --heel X,Y or take the others away."};
    case Limit::sticker_small:
      return {"The sticker is only " + fixed(f.seen, 0) + " pixels across and may be lost in a fast rise.",
              "Film closer, or use a larger one."};
    case Limit::sticker_pale:
      return {"The sticker hardly stands out from what is around it.",
              "Use white with a black ring, or black with a white ring."};
    case Limit::sticker_clipped:
      return {"The sticker is so bright that its white runs over.",
              "Keep direct light off it, or set the camera's brightness lower."};
    case Limit::card_clipped:
      return {"The card is so bright that its white runs over.",
              "Keep direct light off it, or set the camera's brightness lower."};
    case Limit::dark:
      return {"The picture is dark.", "Put more light on the foot and the card."};
    case Limit::noisy:
      return {"The picture is grainy.", "Put more light on the foot and the card."};
    case Limit::blurred:
      return {"The picture is not sharp: edges are " + fixed(2.56 * f.seen, 0) + " pixels wide.",
              "Tap on the foot to focus, wipe the lens."};
    default:
      return {"The sticker is not seen well: its place is unsure by " + fixed(f.seen, 1) + " pixels.",
              "Film closer, with more light, and sharp."};
  }
}

Said said_of_room(const measure::Finding& f) {
  const std::string room = fixed(std::max(0.0, f.seen), 0) + " cm";
  switch (f.limit) {
    case Limit::sticker_leaves:
      return {"The sticker leaves the picture at the top once the heel has risen " + room + ".",
              "Turn the camera up, or move it back."};
    case Limit::room_above_short:
      return {"There is only room for a rise of " + room + " above the sticker.",
              "Turn the camera up a little, or move it back."};
    case Limit::floor_out_of_view:
      return {f.seen <= 0 ? "The floor under the shoe is not in view: times on the ground cannot be read."
                          : "Hardly any floor is in view below the shoe.",
              "Turn the camera down a little."};
    case Limit::toes_out_of_view:
      return {"The toes seem to be outside the picture: times on the ground are read there.",
              "Move the foot to the picture's middle."};
    case Limit::floor_not_told:
      return {"Where the sole meets the floor could not be looked at.",
              "See that the sole under the toes and the floor below it are in view, and the card on the floor."};
    default:
      return {"The sole hardly stands out from the floor.",
              "Put a plain sheet or mat, lighter or darker than the sole, "
              "flat under the foot, or change the shoes."};
  }
}

Said said_of_clock(const measure::Finding& f, const measure::Check& check) {
  const bool hops = check.setup.test == Test::hop;
  switch (f.limit) {
    case Limit::rate_low:
      return {"The camera films only " + fixed(f.seen, 0) + " frames per second.",
              hops ? "Use slow motion: 240 frames per second, or 120." : "Use 30 frames per second or more."};
    case Limit::frames_uneven:
      return {f.seen > 0 ? "Frames are missing in the file." : "The frames do not come evenly.",
              "Use the phone's own camera program and copy the original file."};
    default:
      return {"This may be slow motion that does not say how fast it was filmed.",
              "Give the filming rate: --capture-fps 240."};
  }
}

}  // namespace

const char* key_of(Limit limit) { return limit_keys.at(static_cast<std::size_t>(limit)); }

const char* key_of(Weight weight) {
  switch (weight) {
    case Weight::stops:
      return "stops";
    case Weight::takes_away:
      return "takes-away";
    case Weight::costs:
      return "costs";
    case Weight::look:
      return "look";
  }
  return "look";
}

const char* key_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::good:
      return "good";
    case Verdict::usable:
      return "usable";
    case Verdict::not_measurable:
      return "not-measurable";
  }
  return "usable";
}

const char* key_of(ErrorFrom from) {
  constexpr std::array keys = {"card-depth", "card-print",      "card-size", "card-facing", "card-lean",
                               "lens",       "sticker-reading", "camera",    "frames",      "program"};
  static_assert(keys.size() == static_cast<std::size_t>(ErrorFrom::program) + 1);
  return keys.at(static_cast<std::size_t>(from));
}

const char* in_words(ErrorFrom from) {
  switch (from) {
    case ErrorFrom::card_depth:
      return "where the card stands: beside the heel, neither nearer to the camera nor farther";
    case ErrorFrom::card_print:
      return "how true the card is printed: its ruler must measure 100 mm";
    case ErrorFrom::card_size:
      return "how small the card is in the picture";
    case ErrorFrom::card_facing:
      return "how the card faces the camera, and how far it is from the sticker";
    case ErrorFrom::card_lean:
      return "whether it is the card that leans or the camera";
    case ErrorFrom::lens:
      return "the lens: whether it bends straight lines, and how far away it seems to be";
    case ErrorFrom::sticker_reading:
      return "how well the sticker is seen";
    case ErrorFrom::camera:
      return "that the camera moves";
    case ErrorFrom::frames:
      return "the number of frames per second";
    case ErrorFrom::program:
      return "how the sole is read from the picture";
  }
  return "";
}

Said said(const measure::Finding& f, const measure::Check& check) {
  const bool hops = check.setup.test == Test::hop;
  if (f.limit == Limit::card_trouble && check.setup.picture_turned) {
    return {trouble(check.setup.card_trouble), "Turn the clip, or stand the card upright."};
  }
  if (f.limit == Limit::card_trouble) {
    return {"The card: " + trouble(check.setup.card_trouble) + (hops ? " Times need no card, heights do." : ""),
            check.setup.bank_card
                ? "Stand the bank card on an edge beside the foot, before plain ground of another brightness."
                : "Stand the whole printed card upright beside the foot, facing the camera, well lit."};
  }
  if (f.limit == Limit::sticker_trouble) {
    return {"The sticker: " + trouble(check.setup.sticker_trouble),
            "Stick a round one, white with a black ring, on the heel, facing the camera, or give --heel X,Y."};
  }
  if (f.limit == Limit::no_scale) {
    return {"Without a card there are no centimetres.", "Show the card, or give --px-per-cm."};
  }
  if (f.limit <= Limit::sole_pale) return said_of_room(f);
  if (f.limit == Limit::card_clipped) return said_of_sticker(f);
  if (f.limit <= Limit::distance_differs) return said_of_place(f);
  if (f.limit <= Limit::reading_unsure) return said_of_sticker(f);
  if (f.limit <= Limit::camera_unknown) return said_of_place(f);
  return said_of_clock(f, check);
}

std::string cost_in_words(const measure::Finding& f) {
  if (f.cost_ms) return fixed(f.cost_ms, *f.cost_ms < 9.5 ? 1 : 0) + " ms";
  if (f.cost_cm && *f.cost_cm < 0.005) return "<0.01 cm";
  if (f.cost_cm) return fixed(f.cost_cm, *f.cost_cm < 0.095 ? 2 : 1) + " cm";
  return "";
}

std::string verdict_in_words(const measure::Check& check) {
  const std::string what = check.setup.test == Test::hop ? "hops" : "heel raises";
  switch (check.verdict) {
    case Verdict::good:
      return "Good enough for " + what;
    case Verdict::usable:
      return "Usable for " + what + ", with limits";
    case Verdict::not_measurable:
      return "Not measurable like this";
  }
  return "";
}

}  // namespace risetrace::report
