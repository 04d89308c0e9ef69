#include <algorithm>
#include <cmath>
#include <vector>

#include "report/palette.h"
#include "report/plot_axes.h"
#include "report/report_page.h"
#include "report/screen_plots.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using plot_detail::Axes;
using report_page::left;
using report_page::width;

constexpr std::size_t a_row = 4;
constexpr double gap = 14.0;
constexpr double plot_height = 52.0;

std::string name_of(const ScreenWords& words, const visit::Trend& trend) {
  const std::string side =
      trend.slot.side == Side::not_stated ? words.say("trends.difference") : words.side(trend.slot.side);
  return words.form(trend.slot.test, trend.slot.knee, trend.beat_bpm) + ", " + side;
}

std::string verdict_of(const ScreenWords& words, const visit::Trend& trend) {
  std::string key = "change.cannot-tell";
  if (trend.verdict == visit::Change::not_changed) key = "change.not-changed";
  if (trend.verdict == visit::Change::changed) {
    key = !trend.better ? "change.changed" : *trend.better ? "change.better" : "change.worse";
  }
  return words.say("trends.change", {{"change", words.say(key)}, {"date", words.date(trend.points.front().date)}});
}

Axes axes_of(const Area& area, const visit::Trend& trend) {
  const double first = trend.points.front().value;
  const double band = trend.noise_cautious.value_or(trend.noise_optimistic.value_or(0.0));
  double least = first - band;
  double most = first + band;
  for (const visit::TrendPoint& point : trend.points) {
    least = std::min(least, point.value - point.u.value_or(0.0));
    most = std::max(most, point.value + point.u.value_or(0.0));
  }
  const double grow = std::max(0.1 * (most - least), 1e-3 * std::max(std::abs(most), 1e-3));
  Axes axes;
  axes.inner = area;
  axes.x_from = -0.35;
  axes.x_to = static_cast<double>(trend.points.size()) - 0.65;
  axes.y_from = least - grow;
  axes.y_to = most + grow;
  return axes;
}

void draw_band(const Ink& ink, const Axes& axes, double middle, std::optional<double> half, const Colour& colour) {
  if (!half) return;
  const double top = axes.y(middle + *half);
  ink.fill_box(axes.inner.x, top, axes.inner.width, axes.y(middle - *half) - top, colour);
}

// The value at the first and the last visit, and the dates below.
void draw_ends(const Ink& ink, const Axes& axes, const visit::Trend& trend, const ScreenWords& words) {
  const double bottom = axes.inner.y + axes.inner.height;
  const TextStyle soft{.size = 5.8, .colour = palette::soft_ink};
  TextStyle right = soft;
  right.align = Align::right;
  ink.text(axes.inner.x, bottom + 1.5, trend.points.front().date.substr(0, 10), soft);
  if (trend.points.size() > 1) {
    ink.text(axes.inner.x + axes.inner.width, bottom + 1.5, trend.points.back().date.substr(0, 10), right);
  }
  for (std::size_t i = 0; i < trend.points.size(); i += std::max<std::size_t>(trend.points.size() - 1, 1)) {
    const visit::TrendPoint& point = trend.points[i];
    const double x = axes.x(static_cast<double>(i));
    const double y = axes.y(point.value);
    const bool above = y > axes.inner.y + 13;
    ink.text(x, above ? y - 11.5 : y + 3.5, words.number(trend.quantity, point.value),
             {.size = 6.8, .bold = true, .colour = palette::ink, .align = Align::centre});
  }
}

void draw_trend(const Ink& ink, const Area& cell, const visit::Trend& trend, const ScreenWords& words) {
  const TextStyle name{.size = 7.0, .bold = true, .colour = palette::ink, .width = cell.width};
  const TextStyle soft{.size = 6.2, .colour = palette::soft_ink, .width = cell.width};
  const TextStyle said{.size = 6.6, .colour = palette::ink, .width = cell.width};
  const std::string unit = words.unit(trend.quantity);
  const std::string title = words.quantity(trend.quantity) + (unit.empty() ? "" : " (" + unit + ")");
  ink.text(cell.x, cell.y, ink.fitted(title, name, 9.5), name);
  ink.text(cell.x, cell.y + 9, ink.fitted(name_of(words, trend), soft, 16.5), soft);
  const Axes axes = axes_of({cell.x, cell.y + 26, cell.width, plot_height}, trend);
  const double first = trend.points.front().value;
  draw_band(ink, axes, first, trend.noise_cautious, palette::band_cautious);
  draw_band(ink, axes, first, trend.noise_optimistic, palette::band_optimistic);
  ink.line(axes.inner.x, axes.inner.y + plot_height, axes.inner.x + axes.inner.width, axes.inner.y + plot_height, 0.6,
           palette::ink);
  cairo_t* cr = ink.context();
  set_side_line(ink, trend.slot.side);
  cairo_new_path(cr);
  for (std::size_t i = 0; i < trend.points.size(); ++i) {
    cairo_line_to(cr, axes.x(static_cast<double>(i)), axes.y(trend.points[i].value));
  }
  cairo_stroke(cr);
  ink.dash(0, 0);
  for (std::size_t i = 0; i < trend.points.size(); ++i) {
    const visit::TrendPoint& point = trend.points[i];
    const double x = axes.x(static_cast<double>(i));
    if (point.u) ink.line(x, axes.y(point.value - *point.u), x, axes.y(point.value + *point.u), 0.8, palette::ink);
    draw_side_mark(ink, x, axes.y(point.value), 4.4, trend.slot.side, false);
  }
  draw_ends(ink, axes, trend, words);
  std::string verdict = verdict_of(words, trend);
  if (!trend.form_differs.empty()) verdict += "; " + words.say("form." + trend.form_differs);
  ink.text(cell.x, cell.y + 26 + plot_height + 9, ink.fitted(verdict, said, 26), said);
}

// Those of several visits, what changed first, then what retest noise is known of.
std::vector<const visit::Trend*> telling_first(const std::vector<visit::Trend>& trends) {
  std::vector<const visit::Trend*> chosen;
  for (const visit::Trend& trend : trends) {
    if (trend.points.size() > 1) chosen.push_back(&trend);
  }
  const auto rank = [](const visit::Trend* trend) {
    if (trend->verdict == visit::Change::changed) return 0;
    return trend->noise_cautious ? 1 : 2;
  };
  std::stable_sort(chosen.begin(), chosen.end(), [&](const auto* a, const auto* b) { return rank(a) < rank(b); });
  return chosen;
}

}  // namespace

void draw_trends(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const std::vector<const visit::Trend*> drawn = telling_first(words.screen().trends);
  if (drawn.empty()) return;
  const double cell_height = 26 + plot_height + 9 + 28;
  sheet.heading(words.say("trends.heading"), cell_height);
  const std::size_t shown = std::min(drawn.size(), density.most_trends);
  const double pitch = (width + gap) / static_cast<double>(a_row);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i % a_row == 0) sheet.need(cell_height);
    const double x = left + pitch * static_cast<double>(i % a_row);
    draw_trend(sheet.ink(), {x, sheet.y, pitch - gap, cell_height}, *drawn[i], words);
    if (i % a_row == a_row - 1 || i + 1 == shown) sheet.y += cell_height;
  }
  const TextStyle soft{.size = 6.6, .colour = palette::soft_ink};
  if (shown < drawn.size()) {
    sheet.say(words.say("trends.left-out", {{"count", std::to_string(drawn.size() - shown)}}), soft);
  }
  sheet.say(words.say("trends.foot"), soft);
  sheet.y += 7;
}

}  // namespace risetrace::report
