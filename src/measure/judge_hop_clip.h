// What a careful person checks before believing the times of a hop clip.
#pragma once

#include <optional>

#include "base/error.h"
#include "measure/measurement.h"
#include "model/hop_protocol.h"

namespace risetrace::measure {

struct ClockVerdict {
  bool trusted = true;
  std::optional<Note> note;
};

// Slow motion that the file does not own up to: the flights fall too slowly for gravity, or last longer than anyone's.
// Call once the contacts are known.
ClockVerdict judge_clock(const Measurement& measurement, const model::HopProtocol& protocol);

// The sole was followed while the heel went up and down, and was never clear of the floor.
bool sole_stayed(const Measurement& measurement);

Note no_card_note(const Error& trouble);
Note facing_note();

// Notes of this room's own: which witness timed the contacts, bridged and repeated frames, a frame rate too low.
void add_hop_notes(Measurement& measurement);

}  // namespace risetrace::measure
