#include "report/plot.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "report/palette.h"
#include "report/plot_axes.h"
#include "report/words.h"

namespace risetrace::report {

using plot_detail::Axes;

namespace {

// The reference height and the limit, named at their right ends.
void draw_levels(const Ink& ink, const Axes& axes, double reference_cm, double end_fraction) {
  const double right = axes.inner.x + axes.inner.width;
  const double limit_cm = reference_cm * end_fraction;
  ink.line(axes.inner.x, axes.y(reference_cm), right + 3, axes.y(reference_cm), 0.7, palette::soft_ink);
  ink.dash(3, 2);
  ink.line(axes.inner.x, axes.y(limit_cm), right + 3, axes.y(limit_cm), 0.9, palette::limit);
  ink.dash(0, 0);
  ink.text(right + 5, axes.y(reference_cm) - plot_detail::small * 0.62, "reference " + fixed(reference_cm, 2),
           {.size = plot_detail::small, .colour = palette::ink});
  ink.text(right + 5, axes.y(limit_cm) - plot_detail::small * 0.62, percent(end_fraction) + " = " + fixed(limit_cm, 2),
           {.size = plot_detail::small, .colour = palette::ink});
}

double top_of(const raise::RepSet& set) {
  double top = set.reference_height_cm.value_or(1.0);
  for (const raise::Rep& rep : set.reps) top = std::max(top, rep.height_cm + rep.height_cm_u.value_or(0.0));
  return top;
}

// The value drawn: height in cm, or the upright position in px above its lowest.
struct Drawn {
  bool cm = false;
  double lowest_px = 0.0;

  [[nodiscard]] std::optional<double> of(const HeightSample& sample) const {
    if (cm) return sample.height_cm;
    return sample.seen ? std::optional(lowest_px - sample.px.y) : std::nullopt;
  }
};

void draw_bridges(const Ink& ink, const Axes& axes, const std::vector<HeightSample>& samples) {
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i].seen) continue;
    std::size_t end = i;
    while (end + 1 < samples.size() && !samples[end + 1].seen) ++end;
    const double x0 = axes.x(samples[i].time_s);
    const double x1 = std::max(axes.x(samples[end].time_s), x0 + 0.8);
    ink.fill_box(x0, axes.inner.y, x1 - x0, axes.inner.height, palette::bridge);
    i = end;
  }
}

// Seen stretches as a line, bridged ones dotted. Points closer than a printer can show are left out.
void draw_line(const Ink& ink, const Axes& axes, const std::vector<HeightSample>& samples, const Drawn& drawn) {
  cairo_t* cr = ink.context();
  ink.use(palette::trace);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_width(cr, 1.0);
  bool open = false;
  bool seen = true;
  for (const HeightSample& sample : samples) {
    const auto value = drawn.of(sample);
    if (!value) {
      open = false;
      continue;
    }
    const double x = axes.x(sample.time_s);
    const double y = axes.y(*value);
    if (open && seen != sample.seen) {
      cairo_line_to(cr, x, y);
      ink.dash(seen ? 0 : 1, 1.6);
      cairo_stroke(cr);
      open = false;
    }
    double x_last = 0;
    double y_last = 0;
    if (open) cairo_get_current_point(cr, &x_last, &y_last);
    if (!open) cairo_move_to(cr, x, y);
    if (open && std::hypot(x - x_last, y - y_last) > 0.2) cairo_line_to(cr, x, y);
    open = true;
    seen = sample.seen;
  }
  ink.dash(seen ? 0 : 1, 1.6);
  cairo_stroke(cr);
  ink.dash(0, 0);
}

void draw_peaks(const Ink& ink, const Axes& axes, const raise::RepSet& set) {
  const double room = axes.inner.width / std::max<double>(static_cast<double>(set.reps.size()), 1.0);
  const int every = room > 8 ? 1 : room > 2.5 ? 5 : 10;
  for (const raise::Rep& rep : set.reps) {
    const double x = axes.x(rep.peak_s);
    const double y = axes.y(rep.height_cm) - 4.5;
    draw_mark(ink, x, y, 4.4, mark_of(rep, set.set_end));
    if (rep.n % every != 0 && rep.n != 1) continue;
    const TextStyle style{
        .size = 6.2, .bold = rep.low, .colour = rep.low ? palette::low : palette::ink, .align = Align::centre};
    const std::string number = std::to_string(rep.n);
    const double wide = ink.measure(number, style).width;
    ink.fill_box(x - wide / 2 - 0.5, y - 10.2, wide + 1, 6.2, palette::paper);  // no line through a number
    ink.text(x, y - 11.2, number, style);
  }
}

void draw_set_end(const Ink& ink, const Axes& axes, const raise::SetEnd& end) {
  const double x = axes.x(std::min(end.t_s, axes.x_to));
  ink.line(x, axes.inner.y - 9, x, axes.inner.y + axes.inner.height, 1.2, palette::ink);
  const bool left = x > axes.inner.x + axes.inner.width - 60;
  ink.text(
      left ? x - 3 : x + 3, axes.inner.y - 11,
      end.why == raise::EndWhy::clip_end ? "clip ends" : "set ends, " + fixed(end.t_s, 1) + " s",
      {.size = plot_detail::small, .bold = true, .colour = palette::ink, .align = left ? Align::right : Align::left});
}

Axes trace_axes(const Area& area, const measure::Measurement& m, const std::vector<HeightSample>& samples,
                Drawn& drawn) {
  Axes axes;
  axes.inner = plot_detail::inner_of(area);
  axes.x_to = samples.empty() ? 1.0 : std::max(samples.back().time_s, 1e-3);
  drawn.cm = m.raises.has_value();
  double least = 0;
  double most = drawn.cm ? top_of(*m.raises) : 1.0;
  for (const HeightSample& sample : samples) {
    if (!drawn.cm && sample.seen) drawn.lowest_px = std::max(drawn.lowest_px, sample.px.y);
  }
  for (const HeightSample& sample : samples) {
    const auto value = drawn.of(sample);
    if (value && std::isfinite(*value)) least = std::min(least, *value);
    if (value && std::isfinite(*value)) most = std::max(most, *value);
  }
  axes.y_from = least;
  axes.y_to = most + 20 * (most - least) / std::max(axes.inner.height - 20, 20.0);  // room for marks and numbers
  return axes;
}

// Low bars are hatched, so that they differ in grey too.
void draw_bar(const Ink& ink, const Area& bar, const raise::Rep& rep, bool hollow) {
  const Colour colour = rep.low ? palette::low : palette::trace;
  cairo_t* cr = ink.context();
  if (!hollow && !rep.low) ink.fill_box(bar.x, bar.y, bar.width, bar.height, colour);
  if (!hollow && rep.low) {
    cairo_save(cr);
    cairo_rectangle(cr, bar.x, bar.y, bar.width, bar.height);
    cairo_clip(cr);
    const int lines = static_cast<int>((bar.height + 2 * bar.width) / 2.4);
    for (int i = 0; i <= lines; ++i) {
      const double y = bar.y - bar.width + 2.4 * i;
      ink.line(bar.x, y + bar.width, bar.x + bar.width, y, 0.9, colour);
    }
    cairo_restore(cr);
  }
  if (hollow || rep.low) ink.frame_box(bar.x, bar.y, bar.width, bar.height, 0.8, colour);
}

void draw_whisker(const Ink& ink, const Axes& axes, double x, const raise::Rep& rep) {
  if (!rep.height_cm_u) return;
  const double top = axes.y(rep.height_cm + *rep.height_cm_u);
  const double middle = axes.y(rep.height_cm);
  ink.line(x, top, x, middle, 0.7, palette::ink);
  ink.line(x - 1.5, top, x + 1.5, top, 0.7, palette::ink);
}

}  // namespace

RepMark mark_of(const raise::Rep& rep, const raise::SetEnd& end) { return {rep.low, rep.n > end.after_rep}; }

void draw_mark(const Ink& ink, double x, double y, double size, RepMark mark) {
  const Colour colour = mark.low ? palette::low : palette::trace;
  if (!mark.low) {
    if (mark.hollow) ink.ring(x, y, size / 2 - 0.4, 0.9, colour);
    if (!mark.hollow) ink.fill_disc(x, y, size / 2, colour);
    return;
  }
  ink.fill_tip_down(x, y + size * 0.6, size * 1.2, colour);
  if (mark.hollow) ink.fill_tip_down(x, y + size * 0.25, size * 0.55, palette::paper);
}

void draw_trace(const Ink& ink, const Area& area, const measure::Measurement& measurement,
                const std::vector<HeightSample>& samples) {
  Drawn drawn;
  const Axes axes = trace_axes(area, measurement, samples, drawn);
  if (measurement.raises && measurement.raises->set_end.t_s < axes.x_to) {
    const double x = axes.x(measurement.raises->set_end.t_s);
    ink.fill_box(x, axes.inner.y, axes.inner.x + axes.inner.width - x, axes.inner.height, palette::shade);
  }
  draw_bridges(ink, axes, samples);
  plot_detail::draw_y_axis(ink, axes, drawn.cm ? "cm above standing" : "px above the lowest place");
  plot_detail::draw_time_ticks(ink, axes);
  if (measurement.raises && measurement.raises->reference_height_cm) {
    draw_levels(ink, axes, *measurement.raises->reference_height_cm, measurement.asked.protocol.end_fraction);
  }
  draw_line(ink, axes, samples, drawn);
  plot_detail::draw_x_line(ink, axes, "s");
  if (!measurement.raises) return;
  draw_set_end(ink, axes, measurement.raises->set_end);
  draw_peaks(ink, axes, *measurement.raises);
}

void draw_bars(const Ink& ink, const Area& area, const raise::RepSet& set, double end_fraction) {
  Axes axes;
  axes.inner = plot_detail::inner_of(area);
  const auto reps = static_cast<double>(set.reps.size());
  axes.x_from = 0.4;
  axes.x_to = std::max(reps, 1.0) + 0.6;
  axes.y_to = top_of(set) * 1.06;
  plot_detail::draw_y_axis(ink, axes, "cm");
  const double pitch = axes.x(1) - axes.x(0);
  const double width = std::min(pitch * 0.72, 18.0);
  const int every = pitch > 9 ? 1 : 5;
  for (const raise::Rep& rep : set.reps) {
    const double x = axes.x(rep.n);
    const double top = axes.y(rep.height_cm);
    const double bottom = axes.inner.y + axes.inner.height;
    draw_bar(ink, {x - width / 2, top, width, bottom - top}, rep, rep.n > set.set_end.after_rep);
    draw_whisker(ink, axes, x, rep);
    if (rep.n % every != 0 && rep.n != 1) continue;
    ink.text(x, bottom + 3, std::to_string(rep.n),
             {.size = plot_detail::small, .colour = palette::soft_ink, .align = Align::centre});
  }
  if (set.reference_height_cm) draw_levels(ink, axes, *set.reference_height_cm, end_fraction);
  plot_detail::draw_x_line(ink, axes, "rep");
}

void draw_legend(const Ink& ink, double x, double y, const measure::Measurement& measurement) {
  const TextStyle style{.size = plot_detail::small, .colour = palette::soft_ink};
  const double middle = y + plot_detail::small * 0.62;
  const auto entry = [&](RepMark mark, const std::string& text) {
    draw_mark(ink, x + 3, middle, 4.4, mark);
    x += 9 + ink.text(x + 9, y, text, style).width + 12;
  };
  const std::string under = percent(measurement.asked.protocol.end_fraction);
  entry({false, false}, "counted");
  entry({true, false}, "low: under " + under + " of the reference");
  entry({false, true}, "after the set’s end");
  entry({true, true}, "low, after the end");
  if (measurement.track.frames_bridged == 0) return;
  ink.fill_box(x, y + 1, 8, plot_detail::small, palette::bridge);
  ink.dash(1, 1.6);
  ink.line(x, middle, x + 8, middle, 1.0, palette::trace);
  ink.dash(0, 0);
  ink.text(x + 11, y, "sticker not seen: bridged", style);
}

}  // namespace risetrace::report
