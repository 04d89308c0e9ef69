// Contacts to hops: each landing with the contact after it and the flight before it, and which of them are a hop's.
#pragma once

#include <vector>

#include "hop/contacts.h"
#include "hop/hops.h"
#include "model/hop_protocol.h"

namespace risetrace::hop {

// Every contact whose touchdown is known, in order, n = 1, 2, ... Filled: all but height, rsi, stiffness and the
// verdict. An instant seen at the heel only gives no contact and no flight. An instant's `time_s_u` holds the contacts'
// `common_u_s`. That part moves all touchdowns one way and all take-offs the other, as a wrong floor level does, so it
// enters a contact and a flight doubled; the rest of the two instants is independent.
std::vector<Hop> list_hops(const Contacts& contacts);

// Says of each hop of `list_hops(contacts)` its `standing`, whether it is counted, and why not. `clock_trusted` false:
// only what does not depend on the clock's pace is judged.
void judge_each(std::vector<Hop>& hops, const Contacts& contacts, bool clock_trusted,
                const model::HopProtocol& protocol);

}  // namespace risetrace::hop
