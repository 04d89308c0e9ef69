#include "review/by_hand.h"

#include <cmath>

namespace risetrace::review {

double pointed_u_s(double frame_s) { return frame_s / std::sqrt(12.0); }

std::optional<HandScale> hand_scale(const Corrections& corrections, const model::HandMarks& marks) {
  std::optional<Length> last;
  for (const Correction& c : corrections.list) {
    if (c.what == What::scale) last = c.length;
  }
  if (!last) return std::nullopt;
  const double px = std::hypot(last->to_px.x - last->from_px.x, last->to_px.y - last->from_px.y);
  const double points = std::sqrt(2.0) * marks.pointing_u_px / px;
  const double length = last->length_u_cm.value_or(marks.length_u_cm) / last->length_cm;
  HandScale scale;
  scale.px_per_cm = px / last->length_cm;
  scale.px_per_cm_u = scale.px_per_cm * std::hypot(points, length);
  return scale;
}

HandSettings hand_settings(const Corrections& corrections) {
  HandSettings out;
  for (const Correction& c : corrections.list) {
    if (c.what == What::heel) out.heel_px = c.px;
    if (c.what == What::forefoot) out.forefoot_px = c.px;
    if (c.what == What::beat) out.beat_bpm = c.value;
    if (c.what == What::end_fraction) out.end_fraction = c.value;
    if (c.what == What::end_after) out.end_after = static_cast<int>(c.value);
    if (c.what == What::reference_reps) out.reference_reps = static_cast<int>(c.value);
  }
  return out;
}

model::RaiseProtocol with_settings(model::RaiseProtocol protocol, const HandSettings& settings) {
  protocol.beat_bpm = settings.beat_bpm.value_or(protocol.beat_bpm);
  protocol.end_fraction = settings.end_fraction.value_or(protocol.end_fraction);
  protocol.end_after = settings.end_after.value_or(protocol.end_after);
  protocol.reference_reps = settings.reference_reps.value_or(protocol.reference_reps);
  return protocol;
}

}  // namespace risetrace::review
