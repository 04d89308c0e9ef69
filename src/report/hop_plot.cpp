#include "report/hop_plot.h"

#include <algorithm>
#include <cmath>

#include "report/hop_samples.h"
#include "report/palette.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using plot_detail::Axes;
using plot_detail::small;

constexpr int hops_a_row = 26;
constexpr int most_rows = 3;
constexpr double label_height = 8.0;  // of a row, above the trace: the steps' beats
constexpr double bar_height = 4.0;    // below it: contacts, their numbers, the time
constexpr double below_height = 24.0;
constexpr double right_margin = 14.0;

double end_of_clip_s(const measure::Measurement& m, const std::vector<HopSample>& samples) {
  const double last_s = samples.empty() ? 0.0 : samples.back().time_s;
  return std::max({m.clip.duration_s, last_s, 1e-3});
}

// From the first thing worth seeing to the last: a minute of standing about would press the hops together.
std::pair<double, double> shown_time(const measure::Measurement& m, const std::vector<HopSample>& samples) {
  const double end_s = end_of_clip_s(m, samples);
  if (!m.hops || m.hops->hops.empty()) return {0.0, end_s};
  const hop::Hop& last = m.hops->hops.back();
  const double from_s = std::max(0.0, m.hops->hops.front().touchdown_s - 0.8);
  return {from_s, std::min(end_s, last.takeoff_s.value_or(last.touchdown_s) + 0.8)};
}

// Where a hop's contact ends on the plot: without a known take-off it is not drawn.
void draw_contact_bar(const Ink& ink, const Axes& axes, const hop::Hop& hop, HopMark mark) {
  if (!hop.takeoff_s) return;
  const double top = axes.inner.y + axes.inner.height + 1.5;
  const double x0 = axes.x(std::max(hop.touchdown_s, axes.x_from));
  const double x1 = axes.x(std::min(*hop.takeoff_s, axes.x_to));
  if (x1 <= x0) return;
  if (mark == HopMark::counted) ink.fill_box(x0, top, x1 - x0, bar_height, palette::trace);
  if (mark == HopMark::not_counted) ink.frame_box(x0, top + 0.3, x1 - x0, bar_height - 0.6, 0.6, palette::trace);
  if (mark != HopMark::doubtful) return;
  ink.frame_box(x0, top + 0.3, x1 - x0, bar_height - 0.6, 0.6, palette::low);
  ink.line(x0, top + bar_height, x1, top, 0.7, palette::low);
  ink.line(x0, top, x1, top + bar_height, 0.7, palette::low);
}

void draw_contact_bars(const Ink& ink, const Axes& axes, const measure::Measurement& m) {
  const double seconds_of_10_pt = 10 * (axes.x_to - axes.x_from) / axes.inner.width;
  const auto& hops = m.hops->hops;
  const double each_s =
      hops.size() > 1 ? (hops.back().touchdown_s - hops.front().touchdown_s) / static_cast<double>(hops.size() - 1)
                      : 1.0;
  const int every = each_s > seconds_of_10_pt ? 1 : 5;
  for (const hop::Hop& hop : hops) {
    if (hop.touchdown_s < axes.x_from || hop.touchdown_s > axes.x_to) continue;
    draw_contact_bar(ink, axes, hop, mark_of(hop, m.contacts));
    if (hop.n % every != 0 && hop.n != 1) continue;
    const double until_s = std::min(hop.takeoff_s.value_or(hop.touchdown_s), axes.x_to);
    ink.text(axes.x((hop.touchdown_s + until_s) / 2), axes.inner.y + axes.inner.height + bar_height + 2.2,
             std::to_string(hop.n), {.size = 5.6, .colour = palette::ink, .align = Align::centre});
  }
}

void draw_steps_and_clicks(const Ink& ink, const Axes& axes, const measure::Measurement& m) {
  const double top = axes.inner.y;
  const double offset_s = m.hops->sound_offset_ms.value_or(0.0) / 1000;
  for (const beat::Click& click : m.beats.clicks) {
    const double t_s = click.time_s - offset_s;
    if (t_s < axes.x_from || t_s > axes.x_to) continue;
    ink.line(axes.x(t_s), top, axes.x(t_s), top + 3.5, 0.7, palette::ink);
  }
  for (const hop::Step& step : m.hops->steps) {
    const double from_s = std::max(step.from_s, axes.x_from);
    if (step.to_s <= axes.x_from || from_s >= axes.x_to) continue;
    const double x = axes.x(from_s);
    if (step.from_s >= axes.x_from) ink.line(x, top - 7, x, axes.inner.y + axes.inner.height, 0.7, palette::limit);
    const std::string text = plain(step.beat_bpm, 1) + " per minute" + (step.kept ? "" : ", not kept");
    const TextStyle style{.size = 5.8, .bold = true, .colour = palette::ink};
    const double room = axes.x(std::min(step.to_s, axes.x_to)) - x - 3;
    const std::string shown = ink.measure(text, style).width <= room ? text : plain(step.beat_bpm, 0);
    if (ink.measure(shown, style).width <= room) ink.text(x + 2, top - 8.2, shown, style);
  }
}

void draw_curve(const Ink& ink, const Axes& axes, const std::vector<HopSample>& samples, const HopTrace& trace) {
  cairo_t* cr = ink.context();
  ink.use(palette::trace);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_width(cr, 0.8);
  cairo_new_path(cr);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i].time_s < axes.x_from || samples[i].time_s > axes.x_to) continue;
    if (!trace.value[i] || !std::isfinite(*trace.value[i])) {
      cairo_new_sub_path(cr);
      continue;
    }
    const double x = axes.x(samples[i].time_s);
    const double y = axes.y(*trace.value[i]);
    double x_last = -1e9;
    double y_last = 0;
    if (cairo_has_current_point(cr) != 0) cairo_get_current_point(cr, &x_last, &y_last);
    if (std::hypot(x - x_last, y - y_last) > 0.15) cairo_line_to(cr, x, y);
  }
  cairo_stroke(cr);
}

// The y axis common to all rows.
void fit_values(Axes& axes, const HopTrace& trace) {
  double least = 0.0;
  double most = 0.0;
  for (const auto& value : trace.value) {
    if (!value || !std::isfinite(*value)) continue;
    least = std::min(least, *value);
    most = std::max(most, *value);
  }
  axes.y_from = least;
  axes.y_to = std::max(most * 1.12, least + 1.0);
}

struct Range {
  double least = 0.0;
  double most = 1.0;
};

Range contact_range(const hop::HopSet& set) {
  Range range{1e9, -1e9};
  for (const hop::Hop& hop : set.hops) {
    if (!hop.contact_ms) continue;
    const double u = hop.contact_ms_u.value_or(0.0);
    range.least = std::min(range.least, *hop.contact_ms - u);
    range.most = std::max(range.most, *hop.contact_ms + u);
  }
  if (range.most < range.least) return {0.0, 400.0};
  const double grow = std::max(0.08 * (range.most - range.least), 8.0);
  return {std::max(0.0, range.least - grow), range.most + grow};
}

void draw_median(const Ink& ink, const Axes& axes, const hop::HopSet& set) {
  if (!set.contact_ms) return;
  const double right = axes.inner.x + axes.inner.width;
  const double y = axes.y(*set.contact_ms);
  ink.dash(3, 2);
  ink.line(axes.inner.x, y, right + 3, y, 0.9, palette::limit);
  ink.dash(0, 0);
  ink.text(right + 5, y - small * 1.3, "median\n" + with_u(set.contact_ms, set.contact_ms_u, 0, "ms"),
           {.size = small, .colour = palette::ink});
}

// Where a step of the beat begins, between two hops.
void draw_step_bounds(const Ink& ink, const Axes& axes, const hop::HopSet& set) {
  const auto place_of = [&](double t_s) {
    const auto at = std::find_if(set.hops.begin(), set.hops.end(), [&](const auto& h) { return h.touchdown_s >= t_s; });
    return axes.x(at == set.hops.end() ? axes.x_to : at->n - 0.5);
  };
  for (const hop::Step& step : set.steps) {
    const double x = place_of(step.from_s);
    ink.line(x, axes.inner.y - 7, x, axes.inner.y + axes.inner.height, 0.6, palette::limit);
    const TextStyle style{.size = 5.8, .bold = true, .colour = palette::ink};
    const std::string text = plain(step.beat_bpm, 0);
    if (ink.measure(text, style).width + 3 < place_of(step.to_s) - x) ink.text(x + 2, axes.inner.y - 8.2, text, style);
  }
}

}  // namespace

HopMark mark_of(const hop::Hop& hop, const hop::Contacts& contacts) {
  for (const hop::Contact& contact : contacts.contacts) {
    if (contact.touchdown && contact.touchdown->frame == hop.touchdown_frame && contact.doubtful) {
      return HopMark::doubtful;
    }
  }
  return hop.counted ? HopMark::counted : HopMark::not_counted;
}

void draw_hop_mark(const Ink& ink, double x, double y, double size, HopMark mark) {
  if (mark == HopMark::counted) ink.fill_disc(x, y, size / 2, palette::trace);
  if (mark == HopMark::not_counted) {
    ink.fill_disc(x, y, size / 2, palette::paper);
    ink.ring(x, y, size / 2 - 0.35, 0.8, palette::trace);
  }
  if (mark == HopMark::doubtful) ink.fill_tip_down(x, y + size * 0.6, size * 1.25, palette::low);
}

int hop_trace_rows(const measure::Measurement& m) {
  const int hops = m.hops ? static_cast<int>(m.hops->hops.size()) : 0;
  return std::clamp((hops + hops_a_row - 1) / hops_a_row, 1, most_rows);
}

void draw_hop_trace(const Ink& ink, const Area& area, const measure::Measurement& m) {
  const std::vector<HopSample> samples = hop_samples(m);
  const HopTrace trace = hop_trace(m, samples);
  const auto [from_s, to_s] = shown_time(m, samples);
  const int rows = hop_trace_rows(m);
  const double row_height = (area.height - 8) / rows;
  Axes axes;
  fit_values(axes, trace);
  ink.text(area.x, area.y, trace.title + (rows > 1 ? "; the rows follow each other in time" : ""),
           {.size = small, .colour = palette::soft_ink});
  for (int row = 0; row < rows; ++row) {
    axes.inner = {area.x + plot_detail::left_margin, area.y + 8 + row * row_height + label_height,
                  area.width - plot_detail::left_margin - right_margin, row_height - label_height - below_height};
    axes.x_from = from_s + (to_s - from_s) * row / rows;
    axes.x_to = from_s + (to_s - from_s) * (row + 1) / rows;
    plot_detail::draw_y_axis(ink, axes, "", 3);
    draw_curve(ink, axes, samples, trace);
    const double bottom = axes.inner.y + axes.inner.height;
    ink.line(axes.inner.x, bottom, axes.inner.x + axes.inner.width, bottom, 0.6, palette::ink);
    if (m.hops) draw_contact_bars(ink, axes, m);
    if (m.hops) draw_steps_and_clicks(ink, axes, m);
    Axes time = axes;  // the same, lower: its ticks stand below the hops' numbers
    time.inner.height += bar_height + 8.2;
    plot_detail::draw_time_ticks(ink, time);
    ink.text(time.inner.x + time.inner.width + 5, time.inner.y + time.inner.height + 3, "s",
             {.size = small, .colour = palette::soft_ink});
  }
}

void draw_contact_chart(const Ink& ink, const Area& area, const measure::Measurement& m) {
  const hop::HopSet& set = *m.hops;
  const Range range = contact_range(set);
  Axes axes;
  axes.inner = plot_detail::inner_of(area);
  axes.x_from = 0.3;
  axes.x_to = std::max<double>(static_cast<double>(set.hops.size()), 1.0) + 0.7;
  axes.y_from = range.least;
  axes.y_to = range.most;
  plot_detail::draw_y_axis(ink, axes, "ms");
  draw_step_bounds(ink, axes, set);
  draw_median(ink, axes, set);
  const double pitch = axes.x(1) - axes.x(0);
  const double size = std::clamp(pitch * 0.8, 2.2, 4.4);
  const double bottom = axes.inner.y + axes.inner.height;
  const int every =
      std::max(1, static_cast<int>(tick_step(axes.x_to - axes.x_from, static_cast<int>(axes.inner.width / 16))));
  for (const hop::Hop& hop : set.hops) {
    const double x = axes.x(hop.n);
    if (hop.n % every == 0 || hop.n == 1) {
      ink.text(x, bottom + 3, std::to_string(hop.n),
               {.size = small, .colour = palette::soft_ink, .align = Align::centre});
    }
    if (!hop.contact_ms) continue;
    const double u = hop.contact_ms_u.value_or(0.0);
    if (pitch > 3) ink.line(x, axes.y(*hop.contact_ms - u), x, axes.y(*hop.contact_ms + u), 0.5, palette::ink);
    draw_hop_mark(ink, x, axes.y(*hop.contact_ms), size, mark_of(hop, m.contacts));
  }
  plot_detail::draw_x_line(ink, axes, "");
}

void draw_hop_legend(const Ink& ink, double x, double y, const measure::Measurement& m) {
  const TextStyle style{.size = small, .colour = palette::soft_ink};
  const double middle = y + small * 0.62;
  const auto entry = [&](HopMark mark, const std::string& text) {
    draw_hop_mark(ink, x + 3, middle, 4.4, mark);
    x += 9 + ink.text(x + 9, y, text, style).width + 12;
  };
  entry(HopMark::counted, "counted");
  entry(HopMark::not_counted, "not counted");
  entry(HopMark::doubtful, "doubtful contact");
  ink.fill_box(x, middle - 2, 10, bar_height, palette::trace);
  x += 13 + ink.text(x + 13, y, "on the ground", style).width + 12;
  if (m.beats.clicks.empty()) return;
  ink.line(x + 2, middle - 2.5, x + 2, middle + 2.5, 0.7, palette::ink);
  const bool moved = m.hops && m.hops->sound_offset_ms;
  ink.text(x + 6, y, moved ? "beat heard, moved by the sound’s delay" : "beat heard", style);
}

}  // namespace risetrace::report
