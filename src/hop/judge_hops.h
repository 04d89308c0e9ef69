// The hops of a clip, what follows from their times, and how the beat was kept.
#pragma once

#include <optional>

#include "beat/beats.h"
#include "hop/contacts.h"
#include "hop/hops.h"
#include "model/hop_protocol.h"

namespace risetrace::hop {

struct HopQuestion {
  std::optional<double> asked_bpm;
  std::optional<double> mass_kg;     // without it no stiffness
  std::optional<double> clip_end_s;  // where an asked beat's one step ends; the last landing where unknown
  bool clock_trusted = true;         // false: nothing that needs the clock's pace is given; saying so is the caller's
};

// Docs: docs/method-hops.md. The notes of `contacts` and `beats` are not repeated. No contacts: an empty set and a
// note.
//
// contact_ms_u of the median. Each contact's error has a part common to all, c (twice `common_u_s`), and one of its
// own, e. The counted contacts scatter by s. Where s > e the runner varies too, and the median of n has 1.2533 s /
// sqrt(n) (sqrt(pi/2): the large-sample ratio of a normal sample's median to its mean, e.g. Kendall & Stuart, The
// Advanced Theory of Statistics, from memory). Where s < e the errors cannot all be independent (a hopper in step with
// the frames errs alike each time): e^2 - s^2 is then common too. Where contacts come in whole frames the median is one
// of few values, g apart about it, and known to no better than g / sqrt(12). So (derived here) u^2 = c^2 + max(0, e^2 -
// s^2) + (pi/2) s^2 / n + g^2 / 12.
HopSet judge_hops(const Contacts& contacts, const beat::Beats& beats, const HopQuestion& question,
                  const model::HopProtocol& protocol);

}  // namespace risetrace::hop
