// What a set of heel raises tells while it is filmed.
#pragma once

#include <optional>
#include <variant>

#include "base/note.h"
#include "raise/reps.h"

namespace risetrace::measure {

// The frame rate is known about a second after the first frame.
struct LiveReady {
  int width_px = 0;  // of the upright picture
  int height_px = 0;
  double frame_rate_hz = 0.0;
};

// The heel above standing, smoothed, as it was at t_s: LiveMeasure::lag_s() ago.
struct LiveHeight {
  double t_s = 0.0;
  double height_cm = 0.0;
};

// A rep whose heel is down again. Told once more, with the same rep.n, where more is known of it: of_reference and low
// of the first ones once the reference height is, the end where it was only a stop on the way down.
struct LiveRep {
  raise::Rep rep;  // of_reference unset and low false while the reference height is not known
  int count = 0;   // counted so far, this one included
};

// The last rep was low: `left` more in a row and the set is over.
struct LowWarning {
  int n = 0;
  int left = 0;
};

// Told twice: as soon as it is certain that the set is over, and once more, `final`, when the rule's own t_s is known.
struct LiveSetEnd {
  raise::SetEnd end;
  int count = 0;
  bool final = false;
};

using LiveEvent = std::variant<LiveReady, LiveHeight, LiveRep, LowWarning, LiveSetEnd, Note>;

}  // namespace risetrace::measure
