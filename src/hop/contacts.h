// When the foot was on the ground.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/note.h"

namespace risetrace::hop {

// What an instant was read from, the surest first.
enum class Witness { sole, forefoot_sticker, heel_sticker };

struct Instant {
  double time_s = 0.0;
  double time_s_u = 0.0;   // standard uncertainty
  std::int64_t frame = 0;  // the first frame in contact, or the first frame off the ground
  Witness witness = Witness::sole;
  bool by_hand = false;    // a person says so: half-way between that frame and the one before
  bool unvouched = false;  // the shoe was lost from sight about it: to be held against the heel (vouch_by_heel.h)
};

// What a person did to a landing: docs/corrections.md.
enum class HandWork { none, moved, put_in, taken_out };

// One time on the ground. In contact means that any part of the shoe touches.
struct Contact {
  std::optional<Instant> touchdown;  // empty: before the clip began, or hidden
  std::optional<Instant> takeoff;    // empty: after the clip ended, or hidden
  bool doubtful = false;             // not a hop's: a stumble, a double touch, the foot put down elsewhere
  std::string why;                   // one sentence where doubtful
  HandWork by_hand = HandWork::none;
  std::optional<std::int64_t> address_frame = std::nullopt;  // where it was found, or put, before it was moved
};

// Seen, and not by the heel alone, which is too weak a witness for times.
inline bool is_sure(const std::optional<Instant>& instant) {
  return instant && instant->witness != Witness::heel_sticker;
}

struct Contacts {
  std::vector<Contact> contacts;  // in order, none overlapping
  // Contact and flight share an event and have opposite errors of it; the error common to all touchdowns (floor level,
  // exposure) stays when means are taken.
  double common_u_s = 0.0;
  bool times_known = true;  // false: only the heel was seen, too weak for a time on the ground
  Notes notes;
};

}  // namespace risetrace::hop
