// What a correction by hand rests on, shared by heel raises and hops.
#pragma once

#include <optional>

#include "base/result.h"
#include "model/hand_marks.h"
#include "model/raise_protocol.h"
#include "review/corrections.h"

namespace risetrace::review {

// Standard uncertainty of an instant that a person pointed out frame by frame: it lies anywhere within half a frame to
// either side (rectangular, JCGM 100:2008, 4.3.7).
double pointed_u_s(double frame_s);

// From the last correction of the kind. Along the line between the points only: what points err across it does
// nothing to a length.
struct HandScale {
  double px_per_cm = 0.0;
  double px_per_cm_u = 0.0;
};
std::optional<HandScale> hand_scale(const Corrections& corrections, const model::HandMarks& marks);

// The last one of each kind; empty where there is none.
struct HandSettings {
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;
  std::optional<double> beat_bpm;
  std::optional<double> end_fraction;
  std::optional<int> end_after;
  std::optional<int> reference_reps;
};
HandSettings hand_settings(const Corrections& corrections);

model::RaiseProtocol with_settings(model::RaiseProtocol protocol, const HandSettings& settings);

}  // namespace risetrace::review
