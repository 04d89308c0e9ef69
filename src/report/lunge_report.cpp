#include "report/lunge_report.h"

#include <algorithm>
#include <cmath>

#include "report/grey_picture.h"
#include "report/leg_marks.h"
#include "report/palette.h"
#include "report/plot_axes.h"
#include "report/report_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using plot_detail::Axes;
using report_page::bottom;
using report_page::left;
using report_page::width;

constexpr double most_picture_height = 400.0;
constexpr double most_picture_width = 235.0;
constexpr double plot_height = 230.0;

// Sources: docs/method-angles.md.
constexpr const char* reading_text =
    "The shank’s angle is of the line from ankle to knee sticker. Most of its ± is where the stickers were put, so it "
    "is "
    "common to all clips filmed with the same stickers; in the change from standing it falls out. Retest noise (MDC): "
    "4.6–4.7° or 1.6–1.9 cm (Powden et al. 2015). It counts only if the heel stayed on the floor and the knee went "
    "straight over the toes.";

std::vector<Tile> tiles_of(const measure::Measurement& m) {
  const ankle::Lunge& lunge = *m.lunge;
  const auto u = [](std::optional<double> value, const char* unit, int decimals) {
    return value ? "± " + fixed(value, decimals) + unit : std::string();
  };
  const auto degrees = [](std::optional<double> value) { return value ? fixed(value, 1) + "°" : std::string("–"); };
  return {
      {"Shank from vertical", degrees(lunge.shank_deg), "",
       u(lunge.shank_deg_u, "°", 1) + (lunge.held ? "\nfarthest held" : "\nfarthest, not held")},
      {"Standing", degrees(lunge.standing_shank_deg), "", lunge.standing_shank_deg ? "before it" : "not seen"},
      {"Change", degrees(lunge.change_deg), "", u(lunge.change_deg_u, "°", 1)},
      {"Held", fixed(lunge.held_s(), 1), "s", "within " + plain(m.asked.angles.hold_within_deg, 1) + "° of its mean"},
      {"Toe to wall", fixed(lunge.toe_to_wall_cm, 1), lunge.toe_to_wall_cm ? "cm" : "",
       lunge.toe_to_wall_cm ? u(lunge.toe_to_wall_cm_u, " cm", 1) : "not pointed out,\nor no scale"}};
}

Axes axes_of(const Area& area, const measure::Measurement& m) {
  Axes axes;
  axes.inner = plot_detail::inner_of(area);
  axes.x_to = std::max(m.clip.duration_s, 0.1);
  axes.y_from = 0;
  axes.y_to = 10;
  for (const ankle::LegSample& s : m.angles->samples) {
    if (!s.shank_deg) continue;
    axes.y_from = std::min(axes.y_from, *s.shank_deg - 1);
    axes.y_to = std::max(axes.y_to, *s.shank_deg + 3);
  }
  return axes;
}

// A gap where nothing was seen stays a gap.
void draw_line(const Ink& ink, const Axes& axes, const std::vector<ankle::LegSample>& samples) {
  cairo_t* cr = ink.context();
  ink.use(palette::trace);
  cairo_set_line_width(cr, 1.1);
  bool open = false;
  for (const ankle::LegSample& s : samples) {
    if (!s.shank_deg) {
      open = false;
      continue;
    }
    const double x = axes.x(s.time_s);
    const double y = axes.y(*s.shank_deg);
    if (open) {
      cairo_line_to(cr, x, y);
    } else {
      cairo_move_to(cr, x, y);
    }
    open = true;
  }
  cairo_stroke(cr);
}

void draw_angle(const Ink& ink, const Area& area, const measure::Measurement& m) {
  const Axes axes = axes_of(area, m);
  const ankle::Lunge& lunge = *m.lunge;
  const double from = axes.x(lunge.hold_from_s);
  ink.fill_box(from, axes.inner.y, std::max(axes.x(lunge.hold_to_s) - from, 0.8), axes.inner.height, palette::shade);
  plot_detail::draw_y_axis(ink, axes, "degrees from the vertical");
  plot_detail::draw_time_ticks(ink, axes);
  const auto level = [&](double deg, const std::string& name) {
    ink.dash(3, 2);
    const double right = axes.inner.x + axes.inner.width;
    ink.line(axes.inner.x, axes.y(deg), right + 3, axes.y(deg), 0.9, palette::limit);
    ink.dash(0, 0);
    ink.text(right + 5, axes.y(deg) - plot_detail::small * 0.62, name,
             {.size = plot_detail::small, .colour = palette::ink});
  };
  level(lunge.shank_deg, "held " + fixed(lunge.shank_deg, 1));
  if (lunge.standing_shank_deg) level(*lunge.standing_shank_deg, "standing " + fixed(lunge.standing_shank_deg, 1));
  draw_line(ink, axes, m.angles->samples);
  plot_detail::draw_x_line(ink, axes, "s");
}

// Returns its width; 0: there is none.
double draw_still(const Ink& ink, double y, const measure::Measurement& m, double* end_y) {
  const measure::EventFrame& still = m.lunge_still;
  if (still.picture.width <= 0 || m.clip.width_px <= 0) return 0;
  const double aspect = static_cast<double>(still.picture.width) / still.picture.height;
  const double height = std::min(most_picture_height, most_picture_width / aspect);
  const double picture_width = height * aspect;
  draw_grey_picture(ink, left, y, picture_width, height, still.picture);
  ink.frame_box(left, y, picture_width, height, 0.6, palette::soft_ink);
  if (const auto marks = leg_marks(m, still.frame)) {
    const double by = picture_width / m.clip.width_px;
    const auto on_page = [&](Point px) { return Point{left + by * (px.x + 0.5), y + by * (px.y + 0.5)}; };
    draw_leg_marks(ink, placed_marks(*marks, on_page), std::min(picture_width, height) / 100);
  }
  ink.text(left, y + height + 3,
           "At " + fixed(still.time_s, 1) +
               " s: the rings must lie on the stickers of knee and ankle; dashed: the "
               "vertical, by " +
               (m.angles->upright_by_card ? "the card" : "the picture") + ".",
           {.size = 6.4, .colour = palette::soft_ink, .width = picture_width});
  *end_y = y + height + 26;
  return picture_width;
}

std::vector<Row> rows_of(const measure::Measurement& m) {
  std::vector<Row> rows = how_measured(m);
  rows[1].name = "Knee";
  if (m.leg.ankle) {
    rows.insert(rows.begin() + 2, {"Ankle", "radius " + fixed(m.leg.ankle->radius_px, 1) + " px, seen in " +
                                                std::to_string(m.leg.ankle->frames_seen) + " of " +
                                                std::to_string(m.leg.ankle->samples.size()) + " frames"});
  }
  rows.push_back({"Vertical", m.angles->upright_by_card ? "the card’s upright edge" : "the picture’s"});
  return rows;
}

}  // namespace

void draw_lunge(const Ink& ink, double y, const measure::Measurement& m) {
  y = draw_tiles(ink, y, tiles_of(m));
  y += ink.text(left, y, reading_text, {.size = 7.2, .colour = palette::ink, .width = width}).height + 10;
  double still_end = y;
  const double still = draw_still(ink, y, m, &still_end);
  const double x = still > 0 ? left + still + 14 : left;
  const double column = left + width - x;
  draw_heading(ink, x, y, "How the shank leant");
  draw_angle(ink, {x, y + 14, column, plot_height}, m);
  double below = y + 14 + plot_height + 10;
  draw_heading(ink, x, below, "How it was measured");
  below = draw_rows(ink, x, below + 13, column, rows_of(m));
  draw_notes(ink, std::max(below, still_end) + 8, bottom, m.notes);
}

}  // namespace risetrace::report
