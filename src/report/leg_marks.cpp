#include "report/leg_marks.h"

#include <algorithm>
#include <cmath>

#include "camera/view.h"
#include "report/overlay_look.h"

namespace risetrace::report {
namespace {

const ankle::LegSample* sample_at(const measure::Measurement& m, std::int64_t frame) {
  if (!m.angles) return nullptr;
  const auto& samples = m.angles->samples;
  const auto at = std::lower_bound(samples.begin(), samples.end(), frame,
                                   [](const ankle::LegSample& s, std::int64_t number) { return s.frame < number; });
  return at != samples.end() && at->frame == frame && at->places ? &*at : nullptr;
}

// By the card's upright edge where there is one, else the picture's.
Point straight_above(const measure::Measurement& m, const ankle::LegPlaces& places) {
  const double length_px = std::hypot(places.knee_px.x - places.ankle_px.x, places.knee_px.y - places.ankle_px.y);
  const Point by_picture{places.ankle_px.x, places.ankle_px.y - length_px};
  if (!m.scale.cm_from_px || !m.angles->upright_by_card) return by_picture;
  const auto px_from_cm = m.scale.cm_from_px->inverse();
  if (!px_from_cm) return by_picture;
  const Point ankle_cm = m.scale.cm_from_px->map(places.ankle_px);
  const Point knee_cm = m.scale.cm_from_px->map(places.knee_px);
  return px_from_cm->map({ankle_cm.x, ankle_cm.y + std::hypot(knee_cm.x - ankle_cm.x, knee_cm.y - ankle_cm.y)});
}

}  // namespace

std::optional<LegMarks> leg_marks(const measure::Measurement& m, std::int64_t frame) {
  const ankle::LegSample* sample = sample_at(m, frame);
  if (sample == nullptr) return std::nullopt;
  LegMarks marks{sample->places->ankle_px, sample->places->knee_px, sample->places->hip_px, {}};
  if (m.lunge) marks.above = straight_above(m, *sample->places);
  const math::Similarity px_from_ref = camera::view_of(m.camera, frame).ref_from_px.inverse();
  return placed_marks(marks, [&](Point ref_px) { return px_from_ref.map(ref_px); });
}

void draw_leg_marks(const Ink& ink, const LegMarks& marks, double unit) {
  using namespace overlay_look;  // NOLINT(google-build-using-namespace): its few names fill this function
  if (marks.above) {
    ink.dash(1.6 * unit, 1.2 * unit);
    edged_line(ink, marks.ankle, *marks.above, 0.35 * unit, bright);
    ink.dash(0, 0);
  }
  edged_line(ink, marks.ankle, marks.knee, 0.5 * unit, mark);
  if (marks.hip) edged_line(ink, marks.knee, *marks.hip, 0.5 * unit, mark);
  const auto ring = [&](Point at) {
    ink.ring(at.x, at.y, 2.6 * unit, 1.0 * unit, edge);
    ink.ring(at.x, at.y, 2.6 * unit, 0.5 * unit, bright);
  };
  ring(marks.ankle);
  ring(marks.knee);
  if (marks.hip) ring(*marks.hip);
}

}  // namespace risetrace::report
