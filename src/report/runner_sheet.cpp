#include "report/runner_sheet.h"

#include <algorithm>
#include <array>
#include <vector>

#include "report/palette.h"
#include "report/pdf_page.h"
#include "report/report_page.h"
#include "report/runner_training.h"
#include "report/screen_words.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

constexpr double inset = 12.0;
constexpr std::size_t most_findings = 3;
constexpr double lowest = report_page::page_height - 44;

std::string names_of(const ScreenWords& words, const std::vector<std::string>& keys) {
  std::string names;
  for (const std::string& key : keys) names += (names.empty() ? "" : ", ") + words.say("caution." + key + ".name");
  return names;
}

// A filled box with a heading and paragraphs; returns where it ends.
double draw_box(const Ink& ink, double y, double size, const std::string& heading,
                const std::vector<std::string>& paragraphs, bool alarm) {
  const TextStyle head{.size = size * (alarm ? 1.7 : 1.15),
                       .bold = true,
                       .colour = alarm ? palette::paper : palette::ink,
                       .width = width - 2 * inset};
  const TextStyle text{.size = size * (alarm ? 1.15 : 1.0), .colour = palette::ink, .width = width - 2 * inset};
  const double bar = ink.measure(heading, head).height + 10;
  double height = bar + (alarm ? 6 : 0);
  for (const std::string& paragraph : paragraphs) height += ink.measure(paragraph, text).height + 3;
  height += 4;
  ink.fill_box(left, y, width, height, alarm ? palette::alarm_fill : palette::caution_fill);
  if (alarm) ink.fill_box(left, y, width, bar, palette::alarm);
  if (!alarm) ink.fill_box(left, y, 4, height, palette::ink);
  ink.text(left + inset, y + 5, heading, head);
  double line = y + bar + (alarm ? 6 : -2);
  for (const std::string& paragraph : paragraphs) line += ink.text(left + inset, line, paragraph, text).height + 3;
  return y + height + 9;
}

// What to do about the answers that rule training out; empty where there are none.
std::vector<std::string> referral(const ScreenWords& words) {
  std::vector<std::string> keys;
  std::vector<std::string> said;
  for (const visit::Caution& caution : words.screen().cautions.yes) {
    if (caution.means != model::CautionMeans::refer && caution.means != model::CautionMeans::refer_same_day) continue;
    keys.push_back(caution.key);
    said.push_back(words.say("caution." + caution.key + ".action"));
  }
  if (!keys.empty()) said.push_back(words.say("refer.why", {{"names", names_of(words, keys)}}));
  return said;
}

std::vector<std::string> care(const ScreenWords& words) {
  std::vector<std::string> said;
  for (const visit::Caution& caution : words.screen().cautions.yes) {
    if (caution.means == model::CautionMeans::care || caution.means == model::CautionMeans::no_hops) {
      said.push_back(words.say("caution." + caution.key + ".action"));
    }
  }
  return said;
}

double draw_stop(const Ink& ink, double y, double size, const ScreenWords& words) {
  const visit::CautionVerdict& verdict = words.screen().cautions;
  const model::Cautions& asked = words.screen().models.cautions;
  std::vector<std::string> said = {words.say("stop.rules", {{"limit", words.plain(asked.pain_stop.value)}})};
  if (!verdict.not_asked.empty()) {
    const bool none = verdict.not_asked.size() == asked.questions.size();
    said.push_back(none ? words.say("stop.all-unasked")
                        : words.say("stop.not-asked", {{"names", names_of(words, verdict.not_asked)}}));
  }
  if (!verdict.refer) {  // else that comes before all training
    for (const std::string& more : care(words)) said.push_back(more);
  }
  return draw_box(ink, y, size, words.say("stop.heading"), said, false);
}

double draw_head(const Ink& ink, double y, double size, const ScreenWords& words) {
  const bool plan = words.screen().plan.made;
  const visit::Session& session = words.screen().session;
  y += ink.text(left, y, words.say(plan ? "title.plan" : "title"),
                {.size = size * 1.75, .bold = true, .colour = palette::ink, .width = width})
           .height;
  const std::string who =
      words.say("head.person", {{"code", readable(session.person.code)}, {"date", words.date(session.date)}});
  return y + ink.text(left, y + 2, who, {.size = size, .colour = palette::soft_ink, .width = width}).height + 10;
}

double draw_heading_line(const Ink& ink, double y, double size, const std::string& text) {
  return y + ink.text(left, y, text, {.size = size * 1.25, .bold = true, .colour = palette::trace}).height + 2;
}

double draw_found(const Ink& ink, double y, double size, const ScreenWords& words) {
  const visit::Screen& screen = words.screen();
  y = draw_heading_line(ink, y, size, words.say("found.heading"));
  const TextStyle style{.size = size * 1.05, .colour = palette::ink, .width = width};
  if (screen.reading.findings.empty()) {
    const std::string none = words.say(screen.results.empty() ? "found.nothing-tested" : "found.none");
    return y + ink.text(left, y, none, style).height + 8;
  }
  const std::size_t shown = std::min(screen.reading.findings.size(), most_findings);
  for (std::size_t i = 0; i < shown; ++i) {
    const visit::Finding& finding = screen.reading.findings[i];
    const std::string on = words.say("on." + std::string(key_of(finding.side)));
    const std::string text = words.say("finding." + finding.key + ".text", {{"on", on}}) + " " +
                             words.say(std::string("found.how-sure.") + key_of(finding.sureness));
    TextStyle inner = style;
    inner.width = width - 14;
    ink.fill_disc(left + 4, y + size * 0.68, 2.4, palette::trace);
    y += ink.text(left + 14, y, text, inner).height + 2;
  }
  return y + 8;
}

// The whole page in letters of this size; returns where it ends.
double draw_page(const Ink& ink, const ScreenWords& words, double size) {
  const visit::Screen& screen = words.screen();
  double y = 30;
  const auto refer = referral(words);
  if (!refer.empty()) {
    const std::string heading = words.say(screen.cautions.same_day ? "refer-today.heading" : "refer.heading");
    y = draw_box(ink, y, size, heading, refer, true);
  }
  y = draw_head(ink, y, size, words);
  y = draw_stop(ink, y, size, words);
  // Over a referral nothing reassures.
  if (refer.empty()) y = draw_found(ink, y, size, words);
  if (!screen.plan.made) {
    std::vector<std::string> why;
    if (!screen.plan.why_not.empty()) why.push_back(words.say("no-plan." + screen.plan.why_not));
    return draw_box(ink, y, size, words.say("train.none"), why, false);
  }
  return draw_training(ink, y, size, words);
}

void draw_foot(const Ink& ink, const ScreenWords& words, const std::string& version, const std::string& today) {
  const TextStyle soft{.size = 7.4, .colour = palette::soft_ink, .width = width};
  const std::string made = words.say("head.made", {{"date", words.date(today)}, {"version", version}});
  const std::string text = words.say("device") + "\n" + made;
  ink.text(left, report_page::page_height - 22 - ink.measure(text, soft).height, text, soft);
}

}  // namespace

Outcome write_runner_sheet(const std::string& file, const visit::Screen& screen, const model::Wording& words,
                           const std::string& version, const std::string& today) {
  const ScreenWords said(screen, words);
  const std::string title = said.say("title") + ": " + readable(screen.session.person.code);
  // The largest letters with which all of it fits, first with a diary below, then without.
  constexpr std::array<double, 10> sizes = {13.0, 12.5, 12.0, 11.4, 10.8, 10.2, 9.6, 9.0, 8.4, 7.8};
  constexpr double least_with_diary = 10.0;
  double fits = 0;
  double diary = diary_height(said);
  const auto ends = [&](double size) {
    const PdfPage tried(report_page::page_width, report_page::page_height, title, today);
    return draw_page(tried.ink(), said, size);
  };
  for (const double size : sizes) {
    if (fits == 0 && diary > 0 && size > least_with_diary && ends(size) + 10 + diary < lowest) fits = size;
  }
  if (fits == 0) diary = 0;
  for (const double size : sizes) {
    if (fits == 0 && (ends(size) < lowest || size == sizes.back())) fits = size;
  }
  PdfPage page(report_page::page_width, report_page::page_height, title, today);
  const double end = draw_page(page.ink(), said, fits);
  if (diary > 0) draw_diary(page.ink(), end + 10, said);
  draw_foot(page.ink(), said, version, today);
  return page.write(file);
}

}  // namespace risetrace::report
