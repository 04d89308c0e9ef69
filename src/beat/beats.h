// The beat that a clip's sound holds.
#pragma once

#include <optional>
#include <vector>

#include "base/note.h"

namespace risetrace::beat {

// Times in seconds of filming on the picture's clock as the file relates sound and picture; see clip/sound.h.
struct Click {
  double time_s = 0.0;    // the beginning of its attack; the even beat's where another sound covers it
  double time_s_u = 0.0;  // standard uncertainty
  double level = 0.0;     // of its attack over what was there before it, dB
  bool accent = false;    // clearly stronger or higher than its neighbours: the first of a step or of a bar
};

// So many beats at one tempo.
struct BeatStep {
  double bpm = 0.0;
  double first_s = 0.0;  // the first beat, from the fitted grid
  double from_s = 0.0;   // the step's bounds: half a beat before its first beat ...
  double to_s = 0.0;     // ... to half a beat after its last; midway where two steps meet
  int beats = 0;         // on the fitted grid
  int heard = 0;         // of them, those whose click was found
};

// A dull blow: a landing, a door, a dropped bag.
struct Thud {
  double time_s = 0.0;
  double level = 0.0;     // dB over the noise about it
  double time_s_u = 0.0;  // standard uncertainty: where in its rise a soft blow begins. Much the same for all of a clip
};

struct Beats {
  std::vector<Click> clicks;    // those on the beat, in order; of one that drifts too
  std::vector<BeatStep> steps;  // empty: no steady beat was heard; a note says why
  std::optional<double> bpm;    // set where there is one step only
  std::vector<Thud> thuds;
  bool sound_there = false;  // the clip has a sound track that could be read
  Notes notes;
};

}  // namespace risetrace::beat
