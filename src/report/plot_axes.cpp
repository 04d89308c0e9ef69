#include "report/plot_axes.h"

#include <algorithm>
#include <cmath>

#include "report/palette.h"
#include "report/words.h"

namespace risetrace::report {

double tick_step(double range, int most) {
  const double raw = range / most;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  for (const double times : {1.0, 2.0, 5.0}) {
    if (times * power >= raw * (1 - 1e-9)) return times * power;
  }
  return 10 * power;
}

namespace plot_detail {

namespace {

std::string tick_text(double value, double step, const std::string& decimal_mark) {
  std::string text = fixed(value, decimals_for(step));
  if (const auto point = text.find('.'); point != std::string::npos) text.replace(point, 1, decimal_mark);
  return text;
}

}  // namespace

int decimals_for(double step) { return step < 1 ? static_cast<int>(std::ceil(-std::log10(step) - 1e-9)) : 0; }

std::vector<double> ticks_between(double from, double to, double step) {
  std::vector<double> ticks;
  const auto first = static_cast<int>(std::ceil(from / step - 1e-9));
  const auto last = static_cast<int>(std::floor(to / step + 1e-9));
  for (int i = first; i <= last; ++i) ticks.push_back(i * step);
  return ticks;
}

void draw_y_axis(const Ink& ink, const Axes& axes, const std::string& title, int most) {
  const double step = tick_step(axes.y_to - axes.y_from, most);
  for (const double value : ticks_between(axes.y_from, axes.y_to, step)) {
    const double y = axes.y(value);
    ink.line(axes.inner.x, y, axes.inner.x + axes.inner.width, y, 0.4, palette::rule);
    ink.text(axes.inner.x - 4, y - small * 0.62, tick_text(value, step, axes.decimal_mark),
             {.size = small, .colour = palette::soft_ink, .align = Align::right});
  }
  ink.text(axes.inner.x - left_margin, axes.inner.y - 12, title, {.size = small, .colour = palette::soft_ink});
}

void draw_x_line(const Ink& ink, const Axes& axes, const std::string& title) {
  const double bottom = axes.inner.y + axes.inner.height;
  ink.line(axes.inner.x, bottom, axes.inner.x + axes.inner.width, bottom, 0.8, palette::ink);
  ink.text(axes.inner.x + axes.inner.width + 6, bottom + 3, title, {.size = small, .colour = palette::soft_ink});
}

Area inner_of(const Area& area) {
  return {area.x + left_margin, area.y + 12, area.width - left_margin - right_margin, area.height - 12 - bottom_margin};
}

void draw_time_ticks(const Ink& ink, const Axes& axes) {
  const double bottom = axes.inner.y + axes.inner.height;
  // As many as are read apart: a figure takes some 20 pt.
  constexpr int most = 14;
  constexpr double room = 20.0;
  const double step =
      tick_step(axes.x_to - axes.x_from, std::clamp(static_cast<int>(axes.inner.width / room), 2, most));
  for (const double t_s : ticks_between(axes.x_from, axes.x_to, step)) {
    ink.line(axes.x(t_s), bottom, axes.x(t_s), bottom + 2.5, 0.6, palette::ink);
    ink.text(axes.x(t_s), bottom + 3, tick_text(t_s, step, axes.decimal_mark),
             {.size = small, .colour = palette::soft_ink, .align = Align::centre});
  }
}

}  // namespace plot_detail

}  // namespace risetrace::report
