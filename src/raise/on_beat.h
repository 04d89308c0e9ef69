// Whether each rep kept a tempo: one beat up, one beat down.
#pragma once

#include <optional>

#include "model/raise_protocol.h"
#include "raise/reps.h"

namespace risetrace::raise {

// |period - 2 beats| at most `tolerance` of it. Empty where either is unknown.
std::optional<bool> on_beat(const std::optional<double>& period_s, double beat_bpm, double tolerance);

// Judges a set against another tempo than it was found with, a heard one: each rep's on_beat, the first taking the
// second's, and the share of the counted ones. Nothing else changes. Whether the peaks fell on a click is not asked:
// the sound's delay is not known.
void judge_beat(RepSet& set, double beat_bpm, double tolerance);

// A beat that was stated is the one to keep; else the one that the clip's own sound holds, unless it is heard at twice
// or half the usual one: then a beat was clicked more, or less, often than once up and once down.
void follow_heard_beat(RepSet& set, bool stated, const std::optional<double>& heard_bpm,
                       const model::RaiseProtocol& protocol);

}  // namespace risetrace::raise
