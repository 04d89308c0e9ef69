// Other witnesses of contact than the sole: the stickers.
#pragma once

#include <optional>

#include "hop/contacts.h"
#include "sole/clearance.h"
#include "sticker/track.h"

namespace risetrace::hop {

// The forefoot's sticker as if it were the sole: its height above where it lies on the ground, which is the median of
// the lowest places of its ups and downs. The ball of the foot it sits on is the last but for the toes to leave the
// ground.
sole::Clearance clearance_of_forefoot(const sticker::Track& forefoot);

// From the heel alone: a landing is where it falls fastest, since the ground takes up the fall from there on. Good
// enough to count hops and to tell their rhythm, not to time a contact. No take-offs; times_known is false.
Contacts contacts_of_heel(const sticker::Track& heel, double px_per_cm);

// The contacts on either side of a flight in which the heel hardly moved are one: whatever was seen to lift there, a
// shadow or a piece that slipped, no foot flew.
void join_across_still_heel(Contacts& contacts, const sticker::Track& heel, double px_per_cm);

// A picture that stands still, or is missing, for far longer than from one new picture to the next hides what happened
// meanwhile, and whether the clock went on: the contact in which it does, and the one after the flight in which it
// does, are doubtful.
void doubt_frozen(Contacts& contacts, const sticker::Track& heel);

}  // namespace risetrace::hop
