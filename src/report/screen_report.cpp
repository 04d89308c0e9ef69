#include "report/screen_report.h"

#include <algorithm>

#include "report/palette.h"
#include "report/report_page.h"
#include "report/screen_front.h"
#include "report/screen_method.h"
#include "report/screen_plots.h"
#include "report/screen_tables.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

constexpr int most_pages = 3;

constexpr int closest = 14;

// From roomy, 0, to as close as can be read.
Density density_of(int level) {
  const auto less = [&](std::size_t from, std::size_t step, std::size_t least) {
    const std::size_t off = step * static_cast<std::size_t>(level);
    return off + least > from ? least : from - off;
  };
  Density density;
  density.text = std::max(7.6 - 0.1 * level, 6.7);
  density.most_plot_height = std::max(180.0 - 6 * level, 108.0);
  density.most_evidence = less(8, 1, level < 10 ? 2 : 1);
  density.most_side_rows = less(60, 3, 18);
  density.most_trends = level < 4 ? 12 : level < 11 ? 8 : 4;
  density.most_references = less(16, 1, 3);
  density.most_notes = less(24, 2, 2);
  density.most_both_rows = less(20, 2, 2);
  density.most_file_letters = less(60, 4, 24);
  density.sources = level < 6;
  density.rules = level < 9;
  density.traces = level < 3;
  return density;
}

std::string person_line(const ScreenWords& words) {
  const visit::Person& person = words.screen().session.person;
  std::string line = words.say(std::string("person.") + key_of(person.sex));
  const auto add = [&](const std::string& part) { line += ", " + part; };
  if (person.birth_year) add(words.say("person.born", {{"year", std::to_string(*person.birth_year)}}));
  if (person.height_cm) add(words.say("person.height", {{"height", words.plain(*person.height_cm)}}));
  add(person.mass_kg ? words.say("person.mass", {{"mass", words.plain(*person.mass_kg)}})
                     : words.say("person.mass-unknown"));
  if (!person.sport.empty()) add(readable(person.sport));
  add(words.say(std::string("affected.") + (person.affected_none ? "none" : key_of(person.affected_side))));
  return line;
}

std::string visit_line(const ScreenWords& words) {
  const visit::Session& session = words.screen().session;
  std::string line;
  const auto add = [&](const std::string& key, const std::string& name, const std::string& text) {
    if (!text.empty()) line += (line.empty() ? "" : " · ") + words.say(key, {{name, readable(text)}});
  };
  add("head.tester", "tester", session.tester);
  add("head.shoes", "shoes", session.shoes);
  add("head.remark", "remark", session.remark);
  return line;
}

void draw_head(Sheet& sheet, const ScreenWords& words, const std::string& made) {
  const Ink ink = sheet.ink();
  double y = sheet.y;
  ink.text(left, y, words.say("title"), {.size = 18, .bold = true, .colour = palette::ink});
  ink.text(left + width, y + 5, made, {.size = 7.2, .colour = palette::soft_ink, .align = Align::right});
  y += 24;
  const visit::Session& session = words.screen().session;
  const std::string who = words.say("head.person", {{"code", readable(session.person.code)}}) + "  ·  " +
                          words.say("head.visit", {{"date", words.date(session.date)}});
  y += ink.text(left, y, who, {.size = 10, .bold = true, .colour = palette::ink, .width = width}).height + 1;
  const TextStyle soft{.size = 7.8, .colour = palette::soft_ink, .width = width};
  y += ink.text(left, y, person_line(words), soft).height;
  const std::string more = visit_line(words);
  if (!more.empty()) y += ink.text(left, y, ink.fitted(more, soft, 30), soft).height;
  sheet.y = y + 7;
}

double draw_page_head(const Ink& ink, const ScreenWords& words, int page) {
  if (page == 1) return 28;
  const visit::Session& session = words.screen().session;
  const std::string who = readable(session.person.code) + ", " + words.date(session.date);
  ink.text(left, 28, words.say("title") + "  ·  " + who, {.size = 8.4, .bold = true, .colour = palette::ink});
  ink.line(left, 41, left + width, 41, 0.6, palette::rule);
  return 48;
}

void draw_page_foot(const Ink& ink, const ScreenWords& words, int page, int pages) {
  const double y = report_page::page_height - 30;
  const TextStyle soft{.size = 6.8, .colour = palette::soft_ink};
  TextStyle right = soft;
  right.align = Align::right;
  ink.text(left, y, words.say("device"), soft);
  ink.text(left + width, y, words.say("head.page", {{"page", std::to_string(page)}, {"pages", std::to_string(pages)}}),
           right);
}

struct Making {
  std::string version;
  std::string made;  // said at the top
  Density front;
  Density back;
};

Sheet begin(PdfPage& pdf, const ScreenWords& words, int pages) {
  return {pdf, [&words](const Ink& ink, int page) { return draw_page_head(ink, words, page); },
          [&words, pages](const Ink& ink, int page) { draw_page_foot(ink, words, page, pages); }, report_page::bottom};
}

void draw_front(Sheet& sheet, const ScreenWords& words, const Making& making) {
  draw_yes_answers(sheet, words);  // a yes is the first thing on the page
  draw_head(sheet, words, making.made);
  draw_cautions(sheet, words);
  draw_pain(sheet, words);
  draw_findings(sheet, words, making.front);
  draw_plan(sheet, words, making.front);
}

// All pages; returns how many. `pages`: what the pages are said to be, any number while they are counted.
int draw_all(PdfPage& pdf, const ScreenWords& words, const Making& making, int pages) {
  Sheet sheet = begin(pdf, words, pages);
  draw_front(sheet, words, making);
  draw_both_sides(sheet, words, making.back);
  if (sheet.pages() == 1) sheet.new_page();  // the numbers begin a page of their own
  draw_sides(sheet, words, making.back);
  draw_knees(sheet, words, making.back);
  draw_traces(sheet, words, making.back);
  draw_references(sheet, words, making.back);
  draw_trends(sheet, words, making.back);
  draw_how_got(sheet, words, making.version, making.back);
  draw_notes_of_visit(sheet, words, making.back);
  draw_method(sheet, words, making.version);
  sheet.finish();
  return sheet.pages();
}

PdfPage blank(const ScreenWords& words, const std::string& today) {
  const visit::Session& session = words.screen().session;
  return {report_page::page_width, report_page::page_height,
          words.say("title") + ": " + readable(session.person.code) + ", " + readable(session.date), today};
}

// The roomiest with which the front is one page: with the plots if they need no closer letters than can be read with
// ease, else without.
Density front_density(const ScreenWords& words, Making making, const std::string& today) {
  constexpr int easy = 5;
  for (const bool plots : {true, false}) {
    for (int level = 0; level <= (plots ? easy : closest); ++level) {
      making.front = density_of(level);
      PdfPage tried = blank(words, today);
      Sheet sheet = begin(tried, words, most_pages);
      draw_front(sheet, words, making);
      if (plots) draw_both_sides(sheet, words, making.front);
      if (sheet.pages() == 1) return making.front;
    }
  }
  return density_of(closest);
}

}  // namespace

Outcome write_screen_report(const std::string& file, const visit::Screen& screen, const model::Wording& words,
                            const std::string& version, const std::string& today) {
  const ScreenWords said(screen, words);
  Making making{version, said.say("head.made", {{"date", said.date(today)}, {"version", version}}), {}, {}};
  making.front = front_density(said, making, today);
  int pages = most_pages + 1;
  for (int level = 0; pages > most_pages && level <= closest; ++level) {
    making.back = density_of(level);
    PdfPage tried = blank(said, today);
    pages = draw_all(tried, said, making, most_pages);
  }
  PdfPage pdf = blank(said, today);
  draw_all(pdf, said, making, pages);
  return pdf.write(file);
}

}  // namespace risetrace::report
