#include "report/runner_training.h"

#include <algorithm>
#include <string>
#include <vector>

#include "report/palette.h"
#include "report/plan_words.h"
#include "report/report_page.h"
#include "report/rung_drawing.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

struct Paragraph {
  std::string text;
  TextStyle style;
  double before = 0.0;
};

std::vector<Paragraph> paragraphs_of(const ScreenWords& words, const visit::PlanLine& line, double size,
                                     double text_width) {
  const auto style = [&](double share, bool bold, const Colour& colour) {
    return TextStyle{.size = size * share, .bold = bold, .colour = colour, .width = text_width};
  };
  std::vector<Paragraph> all = {{words.say("rung." + line.rung.key + ".name"), style(1.2, true, palette::ink), 0},
                                {words.say("rung." + line.rung.key + ".how"), style(0.95, false, palette::ink), 2},
                                {dose_in_words(words, line), style(1.1, true, palette::ink), 4}};
  if (line.leads != Side::not_stated && line.rung.one_leg) {
    all.push_back({words.say("leads." + std::string(key_of(line.leads))), style(0.95, false, palette::ink), 1});
  }
  const std::string up = move_up_in_words(words, line);
  if (!up.empty()) {
    all.push_back({up, style(0.92, false, palette::ink), 4});
  }
  const std::string next = line.next ? words.say("next.then", {{"rung", words.say("rung." + line.next->key + ".name")}})
                                     : words.say("next.last");
  all.push_back({next, style(0.92, false, palette::soft_ink), 1});
  return all;
}

// The drawing on the left, the words beside it.
double draw_line(const Ink& ink, double y, double size, const ScreenWords& words, const visit::PlanLine& line) {
  const double picture_width = 190;
  const double text_x = left + picture_width + 16;
  const auto paragraphs = paragraphs_of(words, line, size, left + width - text_x);
  double height = 0;
  for (const Paragraph& p : paragraphs) height += p.before + ink.measure(p.text, p.style).height;
  const double label = size * 1.45;
  const double picture = std::clamp(height - label, 90.0, 126.0);
  draw_ladder_mark(ink, left + 5, y + size * 0.72, size * 0.8, line.ladder);
  ink.text(left + 14, y, words.say("ladder." + line.ladder), {.size = size, .bold = true, .colour = palette::ink});
  draw_rung(ink, {left, y + label, picture_width, picture}, line.rung.key);
  double text_y = y;
  for (const Paragraph& p : paragraphs) {
    text_y += p.before;
    text_y += ink.text(text_x, text_y, p.text, p.style).height;
  }
  return std::max(y + label + picture, text_y) + 12;
}

double draw_week(const Ink& ink, double y, double size, const ScreenWords& words) {
  const auto& lines = words.screen().plan.lines;
  const bool any = std::any_of(lines.begin(), lines.end(), [](const auto& line) { return !line.days.empty(); });
  if (!any) return y;
  y +=
      ink.text(left, y, words.say("days.heading"), {.size = size * 1.1, .bold = true, .colour = palette::trace}).height;
  y += 2;
  const double gap = 6;
  const double cell = (width - 6 * gap) / 7;
  const double height = 15 + 13 * static_cast<double>(lines.size());
  const double letters = std::min(size * 0.85, 9.0);
  for (int day = 1; day <= 7; ++day) {
    const double x = left + (day - 1) * (cell + gap);
    ink.frame_box(x, y, cell, height, 0.8, palette::limit);
    ink.text(x + cell / 2, y + 2, words.say("days.day", {{"day", std::to_string(day)}}),
             {.size = letters * 0.9, .colour = palette::soft_ink, .align = Align::centre});
    double line_y = y + 14;
    for (const visit::PlanLine& line : lines) {
      const bool trains = std::find(line.days.begin(), line.days.end(), day) != line.days.end();
      if (trains) {
        draw_ladder_mark(ink, x + 7, line_y + letters * 0.66, letters * 0.75, line.ladder);
        const TextStyle name{.size = letters, .bold = true, .colour = palette::ink, .width = cell - 14};
        ink.text(x + 13, line_y, ink.fitted(words.say("ladder." + line.ladder), name, letters * 1.4), name);
      }
      line_y += 13;
    }
  }
  return y + height + 10;
}

double draw_said(const Ink& ink, double y, double size, const std::string& heading, const std::string& text) {
  const TextStyle bold{.size = size * 1.1, .bold = true, .colour = palette::trace, .width = width};
  const TextStyle usual{.size = size, .colour = palette::ink, .width = width};
  y += ink.text(left, y, heading, bold).height + 1;
  return y + ink.text(left, y, text, usual).height + 8;
}

}  // namespace

// The ladders are told apart on the week's days by form as well as by name.
void draw_ladder_mark(const Ink& ink, double x, double y, double size, const std::string& ladder) {
  if (ladder == "recoil") {
    ink.fill_box(x - size / 2, y - size / 2, size, size, palette::low);
  } else {
    ink.fill_disc(x, y, size / 2, palette::trace);
  }
}

double draw_training(const Ink& ink, double y, double size, const ScreenWords& words) {
  const visit::Plan& plan = words.screen().plan;
  y += ink.text(left, y, words.say("train.heading"), {.size = size * 1.25, .bold = true, .colour = palette::trace})
           .height +
       3;
  for (const visit::PlanLine& line : plan.lines) y = draw_line(ink, y, size, words, line);
  for (const std::string& held : held_in_words(words)) {
    y += ink.text(left, y, held, {.size = size, .bold = true, .colour = palette::ink, .width = width}).height + 2;
  }
  if (!plan.held_back.empty()) y += 7;
  y = draw_week(ink, y, size, words);
  if (!plan.lines.empty()) {
    const std::string rest = rest_in_words(words);
    y = draw_said(ink, y, size, words.say("pain.heading"),
                  pain_rule_in_words(words) + (rest.empty() ? "" : " " + rest));
  }
  const std::string next =
      plan.next_test ? words.say("next-test", {{"date", words.date(*plan.next_test)}}) : words.say("next-test.unknown");
  return y +
         ink.text(left, y, next, {.size = size * 1.35, .bold = true, .colour = palette::ink, .width = width}).height;
}

}  // namespace risetrace::report
