// Whether the landings followed the beat, step by step.
#pragma once

#include <optional>
#include <vector>

#include "base/note.h"
#include "beat/beats.h"
#include "hop/hops.h"
#include "model/hop_protocol.h"

namespace risetrace::hop {

struct KeptBeat {
  std::vector<Step> steps;
  std::optional<double> lowest_kept_bpm;  // the lowest of the steps kept; a note where a higher one was not
  Notes notes;
};

// `hops` judged by judge_each. The steps are those heard; where none was heard and `asked_bpm` is given, one step from
// 0 to `end_s`, whose phase is free: its lock then says how even the landings were at that period, not that they fell
// on a click. Neither: no steps and a note.
//
// `common_u_s`: standard uncertainty of a touchdown or take-off that all share.
//
// The rate is Sen's slope (Sen 1968, J. Am. Stat. Assoc. 63:1379, from memory) of touchdown over landing number, a
// missed landing leaving its number out. The lock is the length of the mean direction of the touchdowns in the beat's
// period; a sound later than the picture by any constant does not change it. A runner at half or twice the beat does
// not keep it: the rate is judged too.
KeptBeat keep_beat(const std::vector<Hop>& hops, const beat::Beats& beats, std::optional<double> asked_bpm,
                   double end_s, double common_u_s, const model::HopProtocol& protocol);

// Landings per second from their times in order, in seconds; empty for fewer than two.
std::optional<double> landing_rate_hz(const std::vector<double>& touchdowns_s);

}  // namespace risetrace::hop
