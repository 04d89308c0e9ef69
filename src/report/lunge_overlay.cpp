#include "report/lunge_overlay.h"

#include <algorithm>
#include <string>

#include "report/leg_marks.h"
#include "report/overlay_look.h"
#include "report/words.h"

namespace risetrace::report {

using namespace overlay_look;  // NOLINT(google-build-using-namespace): its few names fill this file

void LungeOverlay::draw(const Ink& ink, std::int64_t frame, double time_s) const {
  const double unit = std::min(canvas_.width(), canvas_.height()) / 100.0;
  if (const auto marks = leg_marks(m_, frame)) {
    draw_leg_marks(ink, placed_marks(*marks, [&](Point px) { return canvas_.from_upright(px); }), unit);
  }
  draw_panel(ink, frame, time_s, unit);
}

void LungeOverlay::draw_panel(const Ink& ink, std::int64_t frame, double time_s, double unit) const {
  if (!m_.lunge || !m_.angles) return;
  const auto& samples = m_.angles->samples;
  const auto at = std::find_if(samples.begin(), samples.end(), [&](const auto& s) { return s.frame == frame; });
  std::optional<double> now_deg;
  if (at != samples.end()) now_deg = at->shank_deg;
  const ankle::Lunge& lunge = *m_.lunge;
  const double x = 3 * unit;
  const double y = 3 * unit;
  const bool reached = time_s >= lunge.hold_from_s;
  rounded_box(ink, x, y, 52 * unit, (reached ? 29 : 21) * unit, 2 * unit, panel);
  ink.text(x + 2 * unit, y + 1.2 * unit, "shank from vertical", {.size = unit * 4, .colour = bright});
  ink.text(x + 2 * unit, y + 17.5 * unit, fixed(now_deg, 1) + "°",
           {.size = unit * 11, .bold = true, .colour = bright, .on_baseline = true});
  if (!reached) return;
  const bool holding = time_s <= lunge.hold_to_s;
  ink.text(x + 2 * unit, y + 25.5 * unit,
           (holding ? "held: " : "was held: ") + with_u(lunge.shank_deg, lunge.shank_deg_u, 1, "") + "°",
           {.size = unit * 4.6, .bold = true, .colour = holding ? mark : bright, .on_baseline = true});
}

}  // namespace risetrace::report
