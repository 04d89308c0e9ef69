#include "measure/live_guide.h"

#include "measure/judge.h"

namespace risetrace::measure {
namespace {

constexpr double patience_s = 2.0;  // before something is missed: exposure and focus settle in the first second

}  // namespace

void LiveGuide::say(Notes& notes, const char* code, const std::string& text, double t_s) const {
  notes.push_back({code, text, t_s});
}

void LiveGuide::look_for_start(const LiveSight& sight, Notes& notes) {
  const auto once = [&](bool now, const char* code, const std::string& text) {
    if (now && said_.insert(code).second) say(notes, code, text, sight.t_s);
  };
  const bool waited = sight.t_s - *began_s_ >= patience_s;
  const bool card_missing = sight.card_wanted && !sight.card_found;
  once(waited && card_missing, "card-not-seen",
       "The calibration card is not seen: stand it upright beside the foot, all of it in the picture and lit evenly.");
  once(sight.card_wanted && sight.card_found, "card-seen", "The calibration card is seen.");
  once(sight.card_found && sight.card_trouble.has_value(), "card-doubtful",
       "The calibration card cannot be trusted: " + sight.card_trouble.value_or("") + ".");
  if (sight.heel_known) {
    once(true, "sticker-known", "The heel's sticker is told apart.");
    return;
  }
  once(waited && !sight.any_sticker, "sticker-not-seen",
       "No sticker is seen: put a round, high-contrast one on the heel and turn it to the camera.");
  once(sight.any_sticker && !card_missing, "rise-once",
       "Go: the first rise shows which spot is the heel's sticker, and counts.");
}

Notes LiveGuide::look(const LiveSight& sight) {
  Notes notes;
  if (!began_s_) began_s_ = sight.t_s;
  look_for_start(sight, notes);
  if (sight.camera_known) camera_known_s_ = sight.t_s;
  if (sight.heel_seen || !sight.heel_known) heel_seen_s_ = sight.t_s;
  const bool hidden = sight.t_s - heel_seen_s_ > hideable_rep_s;
  if (hidden && !heel_hidden_) {
    say(notes, "sticker-hidden", "The heel's sticker is out of sight: a rep may be missed.", heel_seen_s_);
  } else if (!hidden && heel_hidden_) {
    say(notes, "sticker-back", "The heel's sticker is seen again.", sight.t_s);
  }
  heel_hidden_ = hidden;
  const bool lost = sight.t_s - camera_known_s_ > hideable_rep_s;
  if (lost && !camera_lost_) {
    say(notes, "camera-lost", "The camera moves, or nothing fixed is seen to tell: stand it still, the card in view.",
        camera_known_s_);
  } else if (!lost && camera_lost_) {
    say(notes, "camera-back", "It is known again how the camera stands.", sight.t_s);
  }
  camera_lost_ = lost;
  return notes;
}

}  // namespace risetrace::measure
