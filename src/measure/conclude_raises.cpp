#include "measure/conclude_raises.h"

#include <algorithm>
#include <cmath>

#include "base/gravity.h"
#include "base/rounded.h"
#include "math/statistics.h"
#include "measure/heel_path.h"
#include "measure/height_budget.h"
#include "measure/judge.h"
#include "measure/judge_camera.h"
#include "measure/read_leg.h"
#include "measure/take_corrections.h"
#include "measure/time_budget.h"
#include "review/say_corrections.h"

namespace risetrace::measure {
namespace {

path::Path path_of(const Measurement& m) {
  path::Path path = heel_path(m, m.asked.protocol.smooth_cutoff_hz);
  std::vector<double> residuals;
  for (const path::PathSample& s : path.samples) {
    if (s.seen) residuals.push_back(s.up_raw_cm - s.up_cm);
  }
  // The filter takes only a part of the noise away; what it leaves in does not show in the residuals.
  const double taken = noise_shares(m.asked.protocol.smooth_cutoff_hz, m.clip.frame_rate_hz).taken;
  if (!residuals.empty() && taken > 0) path.noise_cm = math::robust_sd(residuals) / std::sqrt(taken);
  return path;
}

void gather_notes(Measurement& m) {
  const auto take = [&](const Notes& notes) { m.notes.insert(m.notes.end(), notes.begin(), notes.end()); };
  take(m.clip.notes);
  take(m.scale.notes);
  take(m.track.notes);
  if (m.raises) take(m.raises->notes);
  if (m.knee) take(m.knee->notes);
  if (!m.corrections.empty()) m.notes.insert(m.notes.begin(), review::note_of(m.corrections));
  add_notes(m);
  add_camera_notes(m);
  std::stable_sort(m.notes.begin(), m.notes.end(),
                   [](const Note& a, const Note& b) { return a.t_s.value_or(-1) < b.t_s.value_or(-1); });
}

Outcome judge_raises(Measurement& m, const model::Cards& cards) {
  m.path = path_of(m);
  if (auto found = find_raises(m); !found) return found;
  if (auto lost = lost_too_long(m)) return *lost;
  if (m.raises->reps.empty() && has_note(m.raises->notes, "step-not-counted")) {
    return Error{Fault::no_movement, "the foot was lifted and set down elsewhere, and nothing else rose", ""};
  }
  if (m.raises->reps.empty())
    return turn_to_blame(m.scale).value_or(Error{Fault::no_movement,
                                                 "the sticker was followed, but it never rose by " +
                                                     rounded(m.asked.protocol.least_rise_cm, 1) + " cm and came down",
                                                 ""});
  if (auto hops = pace_of_hops(m)) return *hops;
  if (m.asked.mass_kg && m.raises->total_height_cm) {
    m.work_j = *m.asked.mass_kg * gravity_m_s2 * *m.raises->total_height_cm / 100;
  }
  add_height_uncertainties(m, cards.view);
  add_time_uncertainties(m, cards.view);
  return Done{};
}

}  // namespace

Outcome conclude_raises(Measurement& m, Steps<sticker::StickerTracker>& steps, const model::Cards& cards) {
  if (const Outcome enough = long_enough(m.clip.frames); !enough) return enough.error();
  Result<scale::Scale> scale = steps.card.finish();
  if (!scale) return scale.error();
  m.scale = *std::move(scale);
  m.camera = steps.camera.finish();
  Result<sticker::Track> track = steps.tracker.finish();
  if (!track) return camera_to_blame(m.camera).value_or(turn_to_blame(m.scale).value_or(track.error()));
  m.track = *std::move(track);
  m.leg = steps.tracker.leg_tracks();
  if (m.scale.cm_from_px) {
    if (auto judged = judge_raises(m, cards); !judged) return judged.error();
    add_knee(m, cards);
  }
  gather_notes(m);
  return Done{};
}

}  // namespace risetrace::measure
