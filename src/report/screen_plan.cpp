#include <algorithm>
#include <vector>

#include "report/palette.h"
#include "report/plan_words.h"
#include "report/report_page.h"
#include "report/screen_front.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

// One ladder: what to do now, how much, when, and what comes after it.
struct LineText {
  std::string ladder;
  std::string now;
  std::string how;
  std::string dose;
  std::string days;
  std::string next;
};

LineText text_of(const ScreenWords& words, const visit::PlanLine& line) {
  LineText text;
  text.ladder = words.say("ladder." + line.ladder);
  text.now = words.say("rung." + line.rung.key + ".name");
  text.how = words.say("rung." + line.rung.key + ".how") + "\n" +
             words.say("why." + line.why, {{"reps", line.by_reps ? words.plain(*line.by_reps) : not_known}}) + " (" +
             words.mark(line.rung.mark) + ")";
  text.dose = dose_in_words(words, line);
  if (line.leads != Side::not_stated && line.rung.one_leg)
    text.dose += "\n" + words.say("leads." + std::string(key_of(line.leads)));
  text.days = days_in_words(words, line);
  text.next = line.next ? words.say("rung." + line.next->key + ".name") : words.say("plan.last-rung");
  return text;
}

struct Columns {
  double ladder = left;
  double now = left + 66;
  double dose = left + 232;
  double days = left + 352;
  double next = left + 426;
  double right = left + width;
};

void draw_line(Sheet& sheet, const LineText& text) {
  const Columns at;
  const Ink ink = sheet.ink();
  const TextStyle usual{.size = 7.4, .colour = palette::ink};
  const auto cell = [](TextStyle style, double cell_width) {
    style.width = cell_width - 8;
    return style;
  };
  TextStyle bold = usual;
  bold.bold = true;
  TextStyle soft{.size = 6.8, .colour = palette::soft_ink};
  const TextStyle now = cell(bold, at.dose - at.now);
  const TextStyle how = cell(soft, at.dose - at.now);
  const TextStyle dose = cell(usual, at.days - at.dose);
  const TextStyle days = cell(usual, at.next - at.days);
  const TextStyle next = cell(usual, at.right - at.next + 8);
  const double now_height = ink.measure(text.now, now).height;
  const double height = std::max({now_height + ink.measure(text.how, how).height, ink.measure(text.dose, dose).height,
                                  ink.measure(text.days, days).height, ink.measure(text.next, next).height});
  sheet.need(height + 4);
  ink.text(at.ladder, sheet.y, text.ladder, cell(bold, at.now - at.ladder));
  ink.text(at.now, sheet.y, text.now, now);
  ink.text(at.now, sheet.y + now_height, text.how, how);
  ink.text(at.dose, sheet.y, text.dose, dose);
  ink.text(at.days, sheet.y, text.days, days);
  ink.text(at.next, sheet.y, text.next, next);
  sheet.y += height + 4;
}

void draw_heads(Sheet& sheet, const ScreenWords& words) {
  const Columns at;
  const Ink ink = sheet.ink();
  const TextStyle soft{.size = 6.6, .colour = palette::soft_ink};
  ink.text(at.ladder, sheet.y, words.say("plan.column.ladder"), soft);
  ink.text(at.now, sheet.y, words.say("plan.column.now"), soft);
  ink.text(at.dose, sheet.y, words.say("plan.column.dose"), soft);
  ink.text(at.days, sheet.y, words.say("plan.column.days"), soft);
  ink.text(at.next, sheet.y, words.say("plan.column.next"), soft);
  ink.line(left, sheet.y + 9.5, left + width, sheet.y + 9.5, 0.6, palette::soft_ink);
  sheet.y += 12;
}

std::string sentences(const std::vector<std::string>& said) {
  std::string text;
  for (const std::string& sentence : said) text += (text.empty() ? "" : " ") + sentence;
  return text;
}

}  // namespace

void draw_plan(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const visit::Plan& plan = words.screen().plan;
  sheet.heading(words.say("plan.heading"), plan.made ? 60 : 24);
  const TextStyle usual{.size = density.text, .colour = palette::ink};
  if (!plan.made) {
    sheet.say(words.say("plan.none") + (plan.why_not.empty() ? "" : " " + words.say("no-plan." + plan.why_not)),
              {.size = 8.8, .bold = true, .colour = palette::ink});
  } else {
    if (!plan.lines.empty()) draw_heads(sheet, words);
    for (const visit::PlanLine& line : plan.lines) draw_line(sheet, text_of(words, line));
    const std::string held = sentences(held_in_words(words));
    if (!held.empty()) sheet.say(held, {.size = density.text, .bold = true, .colour = palette::ink});
    const std::string log = sentences(log_in_words(words));
    if (!log.empty()) sheet.say(log, usual);
    if (!plan.lines.empty()) sheet.say(sentences(rules_in_words(words)) + " " + words.say("plan.sources"), usual);
  }
  if (plan.next_test) {
    sheet.y += 2;
    sheet.say(words.say("plan.next-test", {{"date", words.date(*plan.next_test)}}),
              {.size = 8.8, .bold = true, .colour = palette::ink});
  }
  sheet.y += 6;
}

}  // namespace risetrace::report
