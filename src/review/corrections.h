// What a person corrected in a result, one by one, as a file of corrections says it (docs/corrections.md).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"

namespace risetrace::review {

enum class What {
  take_out,    // a rep, or a hop: it was none
  put_in,      // a rep, or a hop, that was not found
  move,        // its instants
  no_landing,  // hops: there was no landing at all
  set_end,     // heel raises: a person says when the set ended
  heel,        // where the sticker is in the first frame
  forefoot,
  scale,  // by two points a stated length apart
  beat,
  end_fraction,
  end_after,
  reference_reps
};

// Two points in the first frame, upright pixels, a stated length apart in the plane of the sticker.
struct Length {
  Point from_px;
  Point to_px;
  double length_cm = 0.0;
  std::optional<double> length_u_cm;  // standard uncertainty; empty: the usual one
};

struct Correction {
  What what = What::take_out;
  std::string at;   // UTC, "2026-03-02T10:15:00Z"
  std::string by;   // who: a code or initials
  std::string why;  // never empty
  // Which one, by where it was found without corrections; one that was put in by where it was put. A rep by its peak, a
  // hop by its touchdown.
  std::optional<double> rep_peak_s;
  std::optional<std::int64_t> hop_touchdown_frame;
  // What it becomes. Of a move those that are set; of a rep put in all three; of a hop put in the take-off may be
  // empty.
  std::optional<double> start_s;
  std::optional<double> peak_s;
  std::optional<double> end_s;                  // of the rep; of `set_end` the set's
  std::optional<std::int64_t> touchdown_frame;  // the first in contact
  std::optional<std::int64_t> takeoff_frame;    // the first off the ground
  std::optional<Point> px;
  std::optional<Length> length;
  double value = 0.0;    // of beat, end_fraction, end_after, reference_reps
  std::string as_given;  // its JSON
};

struct Corrections {
  std::string clip_sha256;  // of the clip that they are of; empty: not said
  std::vector<Correction> list;

  [[nodiscard]] bool empty() const { return list.empty(); }
};

}  // namespace risetrace::review
