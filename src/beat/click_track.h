// A click track to hop or rise to: what was asked for, its sound, and when its beats lie.
#pragma once

#include <cstdint>
#include <vector>

namespace risetrace::beat {

// So many beats at one tempo.
struct TempoStep {
  double bpm = 0.0;  // 30 .. 240
  int beats = 0;
};

enum class BeatKind {
  run_in,  // before the first step, at its tempo: lower and softer
  accent,  // the first beat of a step: higher and louder
  plain
};

struct TrackBeat {
  std::int64_t sample = 0;  // its click's attack begins here
  double time_s = 0.0;      // ideal, before rounding to a sample; from the beginning of the file
  double bpm = 0.0;
  int step = 0;  // 1, 2, ...; 0 in the run-in
  BeatKind kind = BeatKind::plain;
};

struct ClickTrack {
  int rate_hz = 48000;
  std::vector<std::int16_t> samples;  // one channel
  std::vector<TrackBeat> beats;
};

}  // namespace risetrace::beat
