#include <algorithm>
#include <vector>

#include "report/palette.h"
#include "report/plot_axes.h"
#include "report/report_page.h"
#include "report/screen_plots.h"

namespace risetrace::report {
namespace {

using plot_detail::Axes;
using report_page::left;
using report_page::width;

struct Traced {
  const visit::TestResult* result = nullptr;
  double first_peak_s = 0.0;
};

std::vector<Traced> traced_of(const visit::Screen& screen, Knee knee) {
  std::vector<Traced> out;
  for (const visit::TestResult& result : screen.results) {
    if (result.slot.test != Test::heel_raise || result.slot.knee != knee) continue;
    if (!result.trace.empty() && !result.strokes.empty()) out.push_back({&result, result.strokes.front().t_s});
  }
  return out;
}

// From two seconds before the first peak, where the sides lie over each other, to the end of the longer trace.
Axes axes_of(const std::vector<Traced>& all, const Area& area) {
  constexpr double before_s = 2.0;
  Axes axes;
  axes.inner = {area.x + 24, area.y + 12, area.width - 24 - 46, area.height - 12 - 16};
  axes.x_from = -before_s;
  axes.x_to = 0.0;
  axes.y_to = 1.0;
  for (const Traced& one : all) {
    axes.x_to = std::max(axes.x_to, one.result->trace.back().t_s - one.first_peak_s);
    for (const visit::TracePoint& point : one.result->trace) axes.y_to = std::max(axes.y_to, 1.1 * point.height_cm);
  }
  return axes;
}

void draw_trace(const Ink& ink, const Axes& axes, const Traced& one) {
  cairo_t* cr = ink.context();
  set_side_line(ink, one.result->slot.side);
  cairo_set_line_width(cr, 0.8);
  cairo_new_path(cr);
  for (const visit::TracePoint& point : one.result->trace) {
    const double t_s = point.t_s - one.first_peak_s;
    if (t_s >= axes.x_from) cairo_line_to(cr, axes.x(t_s), axes.y(std::max(0.0, point.height_cm)));
  }
  cairo_stroke(cr);
  ink.dash(0, 0);
  for (const visit::Stroke& stroke : one.result->strokes) {
    draw_side_mark(ink, axes.x(stroke.t_s - one.first_peak_s), axes.y(stroke.value), 3.2, one.result->slot.side,
                   !stroke.counted);
  }
}

}  // namespace

void draw_traces(Sheet& sheet, const ScreenWords& words, const Density& density) {
  if (!density.traces) return;
  for (const Knee knee : {Knee::straight, Knee::bent}) {
    const std::vector<Traced> all = traced_of(words.screen(), knee);
    if (all.empty()) continue;
    constexpr double height = 104.0;
    sheet.need(height + 6);
    const Ink ink = sheet.ink();
    const std::string form = words.say("knee." + std::string(key_of(knee)));
    ink.text(left, sheet.y, words.say("traces.title", {{"form", form}}),
             {.size = 8.0, .bold = true, .colour = palette::ink, .width = width});
    Axes axes = axes_of(all, {left, sheet.y + 14, width, height - 14});
    axes.decimal_mark = words.words().decimal_mark;
    plot_detail::draw_y_axis(ink, axes, words.say("plots.height-axis"), 5);
    plot_detail::draw_time_ticks(ink, axes);
    plot_detail::draw_x_line(ink, axes, words.say("traces.axis"));
    for (const Traced& one : all) draw_trace(ink, axes, one);
    sheet.y += height + 6;
  }
}

}  // namespace risetrace::report
