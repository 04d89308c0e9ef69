#include "report/side_table.h"

#include <algorithm>
#include <cmath>

#include "report/palette.h"
#include "report/report_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

constexpr double letters = 7.0;

// Right edges of the figures, and middles of the readings.
struct Columns {
  double name_width = 102;
  double first = left + 162;
  double second = left + 226;
  double difference = left + 296;
  double index = left + 338;
  double measuring = left + 362;
  double noise = left + 421;
  double cut_off = left + width;
};

const TextStyle right_aligned{.size = letters, .colour = palette::ink, .align = Align::right};
const TextStyle centred{.size = letters, .colour = palette::ink, .align = Align::centre};

std::string short_beyond(const ScreenWords& words, visit::Beyond beyond) {
  return words.say(std::string("beyond.") + key_of(beyond));
}

void draw_reading(const Ink& ink, double x, double y, const std::string& text, bool beyond, Align align) {
  ink.text(x, y, text, {.size = letters, .bold = beyond, .colour = palette::ink, .align = align});
}

std::string with_limit(const ScreenWords& words, visit::Beyond beyond, std::optional<double> limit) {
  if (beyond == visit::Beyond::not_known || !limit) return short_beyond(words, beyond);
  return short_beyond(words, beyond) + " " + words.plain(*limit, std::abs(*limit) < 1 ? 2 : 1);
}

void draw_cut_off(const Ink& ink, double y, const ScreenWords& words, const visit::Difference& d) {
  const bool known = d.beyond.cut_off != visit::Beyond::not_known && d.cut_off.has_value();
  const std::string unit = d.cut_off_kind == model::CutOffKind::index_pct ? " %" : "";
  draw_reading(ink, Columns{}.cut_off, y,
               short_beyond(words, d.beyond.cut_off) + (known ? " " + words.plain(*d.cut_off) + unit : ""),
               d.beyond.cut_off == visit::Beyond::yes, Align::right);
}

void draw_readings(const Ink& ink, double y, const ScreenWords& words, const SideLine& line) {
  const Columns at;
  const visit::Difference& d = *line.difference;
  using visit::Beyond;
  draw_reading(ink, at.measuring, y, short_beyond(words, d.beyond.measuring), d.beyond.measuring == Beyond::yes,
               Align::centre);
  if (d.beyond.noise_optimistic == Beyond::not_known && d.beyond.noise_cautious == Beyond::not_known) {
    ink.text(at.noise, y, not_known, centred);
    return draw_cut_off(ink, y, words, d);
  }
  draw_reading(ink, at.noise - 3, y, with_limit(words, d.beyond.noise_optimistic, d.noise_optimistic),
               d.beyond.noise_optimistic == Beyond::yes, Align::right);
  ink.text(at.noise, y, "/", centred);
  draw_reading(ink, at.noise + 3, y, with_limit(words, d.beyond.noise_cautious, d.noise_cautious),
               d.beyond.noise_cautious == Beyond::yes, Align::left);
  draw_cut_off(ink, y, words, d);
}

std::string index_text(const ScreenWords& words, const visit::Difference& difference) {
  if (!difference.index_pct) return not_known;
  return words.words().number(*difference.index_pct, 0) +
         (difference.index_pct_u ? " ± " + words.words().number(*difference.index_pct_u, 0) : "");
}

}  // namespace

void draw_side_heads(Sheet& sheet, const ScreenWords& words, const SideHeads& heads) {
  const Columns at;
  const Ink ink = sheet.ink();
  const TextStyle soft{.size = 6.4, .colour = palette::soft_ink, .align = Align::right};
  TextStyle middle = soft;
  middle.align = Align::centre;
  TextStyle plain_left = soft;
  plain_left.align = Align::left;
  const double beyond_x = (at.measuring + at.cut_off) / 2;
  ink.text(beyond_x, sheet.y, words.say("sides.beyond"), middle);
  sheet.y += 9;
  ink.text(left, sheet.y, words.say("sides.quantity"), plain_left);
  ink.text(at.first, sheet.y, heads.first, soft);
  ink.text(at.second, sheet.y, heads.second, soft);
  ink.text(at.difference, sheet.y, heads.difference, soft);
  if (heads.index) ink.text(at.index, sheet.y, words.say("sides.index"), soft);
  ink.text(at.measuring, sheet.y, words.say("sides.measuring"), middle);
  ink.text(at.noise, sheet.y, words.say("sides.noise"), middle);
  ink.text(at.cut_off, sheet.y, words.say("sides.cut-off"), soft);
  ink.line(left, sheet.y + 9.5, left + width, sheet.y + 9.5, 0.6, palette::soft_ink);
  sheet.y += 12;
}

void draw_side_line(Sheet& sheet, const ScreenWords& words, const SideLine& line, bool index) {
  const Columns at;
  const Ink ink = sheet.ink();
  const TextStyle name{.size = letters, .colour = palette::ink, .width = at.name_width};
  const double height = std::max(ink.measure(line.name, name).height, 9.0);
  sheet.need(height + 1);
  const double y = sheet.y;
  ink.text(left, y, line.name, name);
  TextStyle weaker = right_aligned;
  weaker.bold = true;
  const bool first_weaker = line.weaker == Side::left;
  const bool second_weaker = line.weaker == Side::right;
  ink.text(at.first, y, words.with_u(line.quantity, line.first), first_weaker ? weaker : right_aligned);
  ink.text(at.second, y, words.with_u(line.quantity, line.second), second_weaker ? weaker : right_aligned);
  if (first_weaker) ink.fill_tip_down(at.first + 5, y + 7, 4.6, palette::ink);
  if (second_weaker) ink.fill_tip_down(at.second + 5, y + 7, 4.6, palette::ink);
  if (line.difference != nullptr) {
    const std::string difference =
        words.with_u(line.quantity, line.difference->difference, line.difference->difference_u);
    ink.text(at.difference, y, (line.difference->difference > 0 ? "+" : "") + difference, right_aligned);
    if (index) ink.text(at.index, y, index_text(words, *line.difference), right_aligned);
    draw_readings(ink, y, words, line);
  } else {
    ink.text(at.difference, y, not_known, right_aligned);
    ink.text(at.measuring - 10, y, line.why_not, {.size = letters, .colour = palette::soft_ink});
  }
  sheet.y += height + 0.8;
}

}  // namespace risetrace::report
