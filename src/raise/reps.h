// The reps of a heel-raise set and where the set ended.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/note.h"

namespace risetrace::raise {

// A rise's top is what lies within this share of the rise of its highest place: far under any uncertainty of a height,
// wide enough to hold several frames.
inline constexpr double top_of_rise = 0.005;

// A heel does not go down into the floor on which it stood. One that seems to by more than this (ours: a shoe gives by
// a millimetre or two) does not stand where it did: the foot, the card or the camera was moved, or the sticker slipped.
inline constexpr double sunk_cm = 0.3;

// What a person did to a rep that was found, or not found: docs/corrections.md.
struct ByHand {
  bool put_in = false;
  bool start = false;  // these instants were set by hand
  bool peak = false;
  bool end = false;
  std::optional<double>
      address_s;  // where its peak was found, or put, before it was moved: corrections name it by that

  [[nodiscard]] bool any() const { return put_in || start || peak || end; }
};

// Heights are above standing. A rep starts when the heel leaves its lowest place and ends when it is back down.
struct Rep {
  int n = 0;  // 1, 2, ...
  double start_s = 0.0;
  double peak_s = 0.0;
  double end_s = 0.0;
  double height_cm = 0.0;  // of the peak
  // Standard uncertainties; empty: not known.
  std::optional<double> start_s_u;
  std::optional<double> peak_s_u;
  std::optional<double> end_s_u;
  std::optional<double> height_cm_u;
  std::optional<double> height_cm_u_own;  // without the scale's part, which all reps of the clip share
  std::optional<double> of_reference_u;
  double floor_cm = 0.0;  // how high the heel still was at the start
  std::optional<double> of_reference;
  bool low = false;                // under the end fraction of the reference height
  bool lowered = true;             // the heel came down far enough before this rep
  std::optional<double> period_s;  // from the peak before to this one; empty for the first
  std::optional<bool> on_beat;
  bool counted = false;  // before the set's end and not low
  ByHand by_hand;
};

enum class EndWhy { low_height, pause, clip_end, by_hand };

struct SetEnd {
  EndWhy why = EndWhy::clip_end;
  double t_s = 0.0;  // when the rule was met: the end of the rep, or of the pause, that decided
  std::int64_t frame = 0;
  int after_rep = 0;            // the last rep of the set, low ones that ended it included
  int last_full_rep = 0;        // the last rep that was not low
  std::optional<double> t_s_u;  // empty where the clip's end decided
};

struct CountAt {
  double fraction = 0.0;
  int count = 0;  // had this been the end fraction
};

struct RepSet {
  std::vector<Rep> reps;
  int count = 0;
  std::vector<CountAt> count_at;
  double standing_cm = 0.0;  // in the path's frame: height of the heel when standing
  std::optional<double> reference_height_cm;
  std::optional<double> greatest_height_cm;
  std::optional<double> total_height_cm;  // of the counted reps
  std::optional<double> reference_height_cm_u;
  std::optional<double> greatest_height_cm_u;
  std::optional<double> total_height_cm_u;
  SetEnd set_end;
  std::optional<double> rep_period_s;   // median
  std::optional<double> on_beat_share;  // of the counted reps whose period is known
  Notes notes;
};

}  // namespace risetrace::raise
