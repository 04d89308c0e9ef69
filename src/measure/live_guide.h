// What a person before the camera is told to do, or that something is wrong: each once, when it shows.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/note.h"

namespace risetrace::measure {

// What is seen in one frame.
struct LiveSight {
  double t_s = 0.0;
  bool card_wanted = true;  // centimetres come from a card
  bool card_found = false;
  std::optional<std::string> card_trouble;  // it was found and cannot be trusted: why
  bool any_sticker = false;  // something that looks like one; only asked for while the heel's is not told apart
  bool heel_known = false;
  bool heel_seen = false;
  bool camera_known = true;
};

class LiveGuide {
 public:
  // Nothing most of the time. Codes: card-not-seen, card-seen, card-doubtful, sticker-not-seen, rise-once,
  // sticker-known, sticker-hidden, sticker-back, camera-lost, camera-back.
  Notes look(const LiveSight& sight);

 private:
  void say(Notes& notes, const char* code, const std::string& text, double t_s) const;
  void look_for_start(const LiveSight& sight, Notes& notes);

  std::set<std::string> said_;
  std::optional<double> began_s_;
  double heel_seen_s_ = 0.0;
  double camera_known_s_ = 0.0;
  bool heel_hidden_ = false;
  bool camera_lost_ = false;
};

}  // namespace risetrace::measure
