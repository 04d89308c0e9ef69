// The heel's word on each event that the shoe's front was seen to have.
#pragma once

#include "hop/contacts.h"
#include "sticker/track.h"

namespace risetrace::hop {

// From hop to hop the heel is about as high when the foot leaves the ground, and about as high when it lands: how high
// tells from the hops next to each (the form changes along a set) and is crossed at a metre a second and more, so that
// an event's time can be held against the moment at which the heel passed there.
// - A time that lies farther from it than the others do is not believed: the heel's moment stands in, as
//   Witness::heel_sticker, and no time on the ground or in the air comes of it.
// - The same stands in for an event that was hidden.
// - An event at which the heel is 2 cm and more from there, and nowhere near in time passes, is none.
// - A contact in which the heel stayed so far above where it is on the ground is none.
// - What find_contacts left `unvouched` is vouched for, or left out, or, where the heel says nothing, its contact is
//   doubtful.
// Says in a note how many were left out. `px_per_cm`: about.
void vouch_by_heel(Contacts& contacts, const sticker::Track& heel, double px_per_cm);

}  // namespace risetrace::hop
