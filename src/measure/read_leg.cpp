#include "measure/read_leg.h"

#include "ankle/judge_knee.h"
#include "ankle/read_angles.h"
#include "ankle/tell_facing.h"

namespace risetrace::measure {

void add_knee(Measurement& m, const model::Cards& cards) {
  const model::AngleRules& rules = m.asked.angles;
  m.forward = ankle::facing_of_raises(m.path, *m.raises);
  const sticker::LegTracks& leg = m.leg;
  if (!leg.ankle || !leg.knee || !leg.hip) return;
  if (!m.forward) m.forward = ankle::facing_of_foot(m.track, *leg.ankle);
  if (!m.forward) {
    m.notes.push_back({"knee-side-unknown",
                       "Which way the toes point could not be told, so neither could a bent knee be told from an "
                       "overstretched one: there is no knee angle.",
                       std::nullopt});
    return;
  }
  const ankle::PlaneMap map(m.scale, m.clip.width_px, m.clip.height_px, cards, rules);
  m.angles = ankle::read_angles(leg, m.camera, map, {*m.forward, cards.view.localising_u_px, rules.stiff_within});
  m.knee = ankle::judge_knee(*m.angles, *m.raises, m.asked.knee, map, m.asked.protocol, rules);
}

}  // namespace risetrace::measure
