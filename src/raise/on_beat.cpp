#include "raise/on_beat.h"

#include <cmath>

namespace risetrace::raise {

std::optional<bool> on_beat(const std::optional<double>& period_s, double beat_bpm, double tolerance) {
  if (!period_s || !(beat_bpm > 0)) return std::nullopt;
  const double asked_s = 2 * 60 / beat_bpm;  // one beat up, one beat down
  return std::abs(*period_s - asked_s) <= (tolerance + 1e-9) * asked_s;
}

void judge_beat(RepSet& set, double beat_bpm, double tolerance) {
  int judged = 0;
  int kept = 0;
  for (Rep& rep : set.reps) {
    rep.on_beat = on_beat(rep.period_s, beat_bpm, tolerance);
    if (!rep.counted || !rep.on_beat) continue;
    ++judged;
    kept += *rep.on_beat ? 1 : 0;
  }
  set.on_beat_share.reset();
  if (judged > 0) set.on_beat_share = static_cast<double>(kept) / judged;
  if (set.reps.size() > 1) set.reps[0].on_beat = set.reps[1].on_beat;
}

void follow_heard_beat(RepSet& set, bool stated, const std::optional<double>& heard_bpm,
                       const model::RaiseProtocol& protocol) {
  if (stated || !heard_bpm) return;
  const double ratio = *heard_bpm / protocol.beat_bpm;
  if (ratio < 0.6 || ratio > 1.7) return;
  judge_beat(set, *heard_bpm, protocol.on_beat_tolerance);
}

}  // namespace risetrace::raise
