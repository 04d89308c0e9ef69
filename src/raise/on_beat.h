// Whether each rep kept a tempo: one beat up, one beat down.
#pragma once

#include <optional>

#include "raise/reps.h"

namespace risetrace::raise {

// |period - 2 beats| at most `tolerance` of it. Empty where either is unknown.
std::optional<bool> on_beat(const std::optional<double>& period_s, double beat_bpm, double tolerance);

// Judges a set against another tempo than it was found with, a heard one: each rep's on_beat, the first taking the
// second's, and the share of the counted ones. Nothing else changes. Whether the peaks fell on a click is not asked:
// the sound's delay is not known.
void judge_beat(RepSet& set, double beat_bpm, double tolerance);

}  // namespace risetrace::raise
