#include "report/screen_plots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "report/palette.h"
#include "report/plot_axes.h"
#include "report/report_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using plot_detail::Axes;
using report_page::left;
using report_page::width;

constexpr double letters = 6.8;
constexpr double title_height = 14.0;  // above a plot

// One line of a plot.
struct Point {
  double x = 0.0;
  double y = 0.0;
  std::optional<double> u;
  bool hollow = false;
};
struct Series {
  Side side = Side::left;
  std::vector<Point> points;
};

void draw_series(const Ink& ink, const Axes& axes, const Series& series, double mark) {
  cairo_t* cr = ink.context();
  set_side_line(ink, series.side);
  cairo_new_path(cr);
  for (const Point& point : series.points) cairo_line_to(cr, axes.x(point.x), axes.y(point.y));
  cairo_stroke(cr);
  ink.dash(0, 0);
  for (const Point& point : series.points) {
    const double x = axes.x(point.x);
    if (point.u) ink.line(x, axes.y(point.y - *point.u), x, axes.y(point.y + *point.u), 0.8, colour_of(series.side));
    draw_side_mark(ink, x, axes.y(point.y), point.hollow ? std::max(mark, 4.2) : mark, series.side, point.hollow);
  }
}

// The sides that are drawn, each once, then what hollow means: one line for all plots.
void draw_legend_line(const Ink& ink, double y, const std::vector<Side>& sides, const std::vector<std::string>& hollow,
                      const ScreenWords& words) {
  const TextStyle style{.size = letters, .colour = palette::soft_ink};
  double x = left;
  for (const Side side : sides) {
    set_side_line(ink, side);
    cairo_move_to(ink.context(), x, y + 4.2);
    cairo_line_to(ink.context(), x + 18, y + 4.2);
    cairo_stroke(ink.context());
    ink.dash(0, 0);
    draw_side_mark(ink, x + 9, y + 4.2, 4.6, side, false);
    const std::string name = side == Side::both ? words.say("plots.both-legs") : words.side(side);
    x += 21 + ink.text(x + 21, y, name, style).width + 10;
  }
  for (const std::string& text : hollow) x += ink.text(x + 6, y, text, style).width + 16;
}

std::vector<Series> rep_heights(const visit::Screen& screen, Knee knee) {
  std::vector<Series> all;
  for (const visit::TestResult& result : screen.results) {
    if (result.slot.test != Test::heel_raise || result.slot.knee != knee || result.strokes.empty()) continue;
    Series series{result.slot.side, {}};
    for (const visit::Stroke& stroke : result.strokes) {
      series.points.push_back({static_cast<double>(stroke.n), stroke.value, std::nullopt, !stroke.counted});
    }
    all.push_back(series);
  }
  return all;
}

double greatest(const std::vector<Series>& all, double Point::*member) {
  double most = 0.0;
  for (const Series& series : all) {
    for (const Point& point : series.points) most = std::max(most, point.*member);
  }
  return most;
}

void draw_rep_ticks(const Ink& ink, const Axes& axes, double last) {
  const double bottom = axes.inner.y + axes.inner.height;
  const double step = std::max(1.0, tick_step(last, 10));
  for (const double n : plot_detail::ticks_between(step, last, step)) {
    ink.line(axes.x(n), bottom, axes.x(n), bottom + 2.5, 0.6, palette::ink);
    ink.text(axes.x(n), bottom + 3, std::to_string(static_cast<int>(n)),
             {.size = letters, .colour = palette::soft_ink, .align = Align::centre});
  }
}

void draw_one_heights(const Ink& ink, const Area& area, const std::vector<Series>& all, const ScreenWords& words) {
  const double last = greatest(all, &Point::x);
  Axes axes;
  axes.decimal_mark = words.words().decimal_mark;
  axes.inner = {area.x + 24, area.y + 12, area.width - 24 - 26, area.height - 12 - 16};
  axes.x_from = 0.0;
  axes.x_to = last + 1;
  axes.y_to = std::max(greatest(all, &Point::y) * 1.1, 1.0);
  plot_detail::draw_y_axis(ink, axes, words.say("plots.height-axis"), 5);
  draw_rep_ticks(ink, axes, last);
  plot_detail::draw_x_line(ink, axes, words.say("plots.rep"));
  const double pitch = axes.x(1) - axes.x(0);
  for (const Series& series : all) draw_series(ink, axes, series, std::clamp(pitch * 0.8, 2.8, 4.6));
}

std::vector<Series> contacts_by_beat(const visit::Screen& screen) {
  std::vector<Series> all;
  for (const visit::TestResult& result : screen.results) {
    if (result.slot.test != Test::hop) continue;
    Series series{result.slot.side, {}};
    for (const visit::BeatValues& beat : result.beats) {
      const auto found = beat.values.find("contact_ms");
      if (found != beat.values.end()) {
        series.points.push_back({beat.beat_bpm, found->second.value, found->second.u, !beat.kept});
      }
    }
    const auto whole = result.values.find("contact_ms");
    if (series.points.empty() && whole != result.values.end() && result.asked_bpm) {
      series.points.push_back({*result.asked_bpm, whole->second.value, whole->second.u, false});
    }
    if (!series.points.empty()) all.push_back(series);
  }
  return all;
}

std::vector<double> beats_of(const std::vector<Series>& all) {
  std::vector<double> beats;
  for (const Series& series : all) {
    for (const Point& point : series.points) beats.push_back(point.x);
  }
  std::sort(beats.begin(), beats.end(), std::greater<>());
  beats.erase(std::unique(beats.begin(), beats.end()), beats.end());
  return beats;
}

Axes contact_axes(const Area& area, const std::vector<Series>& all, const std::vector<double>& beats) {
  double least = 1e9;
  double most = 0.0;
  for (const Series& series : all) {
    for (const Point& point : series.points) {
      least = std::min(least, point.y - point.u.value_or(0.0));
      most = std::max(most, point.y + point.u.value_or(0.0));
    }
  }
  const double grow = std::max(0.12 * (most - least), 10.0);
  Axes axes;
  axes.inner = {area.x + 24, area.y + 12, area.width - 24 - 30, area.height - 12 - 16};
  const double edge = beats.size() > 1 ? (beats.front() - beats.back()) * 0.08 : 5.0;
  axes.x_from = beats.front() + edge;  // fast on the left: the order of the test
  axes.x_to = beats.back() - edge;
  axes.y_from = std::max(0.0, std::floor((least - grow) / 10) * 10);
  axes.y_to = most + grow;
  return axes;
}

void draw_beat_ticks(const Ink& ink, const Axes& axes, const std::vector<double>& beats) {
  const double bottom = axes.inner.y + axes.inner.height;
  double taken = -1e9;
  for (const double beat : beats) {
    const double x = axes.x(beat);
    ink.line(x, bottom, x, bottom + 2.5, 0.6, palette::ink);
    if (x - taken < 16) continue;
    taken = x;
    ink.text(x, bottom + 3, plain(beat, 0), {.size = letters, .colour = palette::soft_ink, .align = Align::centre});
  }
}

}  // namespace

Colour colour_of(Side side) {
  if (side == Side::left) return palette::left_side;
  return side == Side::right ? palette::right_side : palette::ink;
}

void set_side_line(const Ink& ink, Side side) {
  ink.use(colour_of(side));
  cairo_set_line_width(ink.context(), 1.1);
  cairo_set_line_join(ink.context(), CAIRO_LINE_JOIN_ROUND);
  if (side == Side::right) ink.dash(4, 2);
  if (side == Side::both || side == Side::not_stated) ink.dash(1, 1.6);
  if (side == Side::left) ink.dash(0, 0);
}

void draw_side_mark(const Ink& ink, double x, double y, double size, Side side, bool hollow) {
  const double half = size / 2;
  const Colour colour = colour_of(side);
  if (side == Side::left) {
    ink.fill_disc(x, y, half, hollow ? palette::paper : colour);
    if (hollow) ink.ring(x, y, half - 0.4, 0.9, colour);
    return;
  }
  cairo_t* cr = ink.context();
  cairo_save(cr);
  cairo_translate(cr, x, y);
  if (side != Side::right) cairo_rotate(cr, std::numbers::pi / 4);
  const Ink turned(cr);
  turned.fill_box(-half, -half, size, size, hollow ? palette::paper : colour);
  if (hollow) turned.frame_box(-half + 0.4, -half + 0.4, size - 0.8, size - 0.8, 0.9, colour);
  cairo_restore(cr);
}

namespace {

using Form = std::pair<Knee, std::vector<Series>>;

using Form = std::pair<Knee, std::vector<Series>>;

void draw_heights_panel(const Ink& ink, const Area& area, const Form& plot, const ScreenWords& words) {
  const auto& [knee, all] = plot;
  const std::string form =
      knee == Knee::not_stated ? words.form(Test::heel_raise, knee) : words.say("knee." + std::string(key_of(knee)));
  const std::string whole = words.say("plots.heights", {{"form", form}});
  TextStyle title{.size = 8.0, .bold = true, .colour = palette::ink};
  const bool fits = ink.measure(whole, title).width < area.width;
  title.width = area.width;
  ink.text(area.x, area.y, ink.fitted(fits ? whole : form, title, 11), title);
  draw_one_heights(ink, {area.x, area.y + title_height, area.width, area.height - title_height}, all, words);
}

void draw_contacts_panel(const Ink& ink, const Area& area, const std::vector<Series>& all, const ScreenWords& words) {
  const std::vector<double> beats = beats_of(all);
  const TextStyle title{.size = 8.0, .bold = true, .colour = palette::ink, .width = area.width};
  ink.text(area.x, area.y, ink.fitted(words.say("plots.contacts"), title, 11), title);
  Axes axes = contact_axes({area.x, area.y + title_height, area.width, area.height - title_height}, all, beats);
  axes.decimal_mark = words.words().decimal_mark;
  plot_detail::draw_y_axis(ink, axes, words.say("plots.contact-axis"), 5);
  draw_beat_ticks(ink, axes, beats);
  plot_detail::draw_x_line(ink, axes, words.say("plots.beat"));
  for (const Series& series : all) draw_series(ink, axes, series, 4.6);
}

struct Plots {
  std::vector<Form> heights;
  std::vector<Series> contacts;

  [[nodiscard]] std::size_t panels() const { return heights.size() + (contacts.empty() ? 0 : 1); }
};

Plots plots_of(const visit::Screen& screen) {
  Plots plots;
  for (const Knee knee : {Knee::straight, Knee::bent, Knee::not_stated}) {
    auto all = rep_heights(screen, knee);
    if (!all.empty()) plots.heights.emplace_back(knee, std::move(all));
  }
  plots.contacts = contacts_by_beat(screen);
  return plots;
}

void draw_legend_of(const Ink& ink, double y, const Plots& plots, const ScreenWords& words) {
  std::vector<Side> sides;
  for (const Side side : {Side::left, Side::right, Side::both}) {
    const auto of_side = [side](const Series& series) { return series.side == side; };
    bool any = std::any_of(plots.contacts.begin(), plots.contacts.end(), of_side);
    for (const Form& form : plots.heights) any |= std::any_of(form.second.begin(), form.second.end(), of_side);
    if (any) sides.push_back(side);
  }
  std::vector<std::string> hollow;
  if (!plots.heights.empty()) hollow.push_back(words.say("plots.hollow-rep"));
  if (!plots.contacts.empty()) hollow.push_back(words.say("plots.hollow-beat"));
  draw_legend_line(ink, y, sides, hollow, words);
}

}  // namespace

void draw_both_sides(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const Plots plots = plots_of(words.screen());
  const std::size_t panels = plots.panels();
  if (panels == 0) return;
  constexpr double least = 108.0;
  constexpr double gap = 8.0;
  constexpr double legend = 17.0;
  const bool close = density.most_plot_height < 150;
  const std::size_t a_row = panels == 4 && !close ? 2 : panels;
  const double rows = a_row < panels ? 2 : 1;
  const double room = (sheet.room() - legend) / rows - 2;
  const double height = room < least ? least : std::min(room, density.most_plot_height);
  const double pitch = (width + gap) / static_cast<double>(a_row);
  sheet.need(rows * height + legend);
  for (std::size_t i = 0; i < panels; ++i) {
    const Area area{left + pitch * static_cast<double>(i % a_row), sheet.y, pitch - gap, height - 4};
    if (i < plots.heights.size()) draw_heights_panel(sheet.ink(), area, plots.heights[i], words);
    if (i >= plots.heights.size()) draw_contacts_panel(sheet.ink(), area, plots.contacts, words);
    if (i % a_row == a_row - 1 || i + 1 == panels) sheet.y += height;
  }
  draw_legend_of(sheet.ink(), sheet.y, plots, words);
  sheet.y += legend;
}

}  // namespace risetrace::report
