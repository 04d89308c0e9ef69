#include "report/screen_front.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "report/evidence_words.h"
#include "report/palette.h"
#include "report/report_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

constexpr double inset = 10.0;

std::string joined(const std::vector<std::string>& parts, const std::string& between) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : between) + part;
  return text;
}

bool grave(const visit::Caution& caution) {
  return caution.means == model::CautionMeans::refer_same_day || caution.means == model::CautionMeans::refer;
}

// One yes: what it means in a filled label, what was asked, what to do.
void draw_yes(Sheet& sheet, const ScreenWords& words, const visit::Caution& caution) {
  const Ink ink = sheet.ink();
  const Colour fill = grave(caution) ? palette::alarm_fill : palette::caution_fill;
  const Colour edge = grave(caution) ? palette::alarm : palette::ink;
  const TextStyle label{.size = 10.0, .bold = true, .colour = grave(caution) ? palette::paper : palette::ink};
  const TextStyle action{.size = 9.0, .bold = true, .colour = palette::ink, .width = width - 2 * inset};
  const TextStyle asked{.size = 7.6, .colour = palette::ink, .width = width - 2 * inset};
  const std::string meaning = words.say(std::string("means.") + key_of(caution.means));
  const std::string what = words.say("caution." + caution.key + ".action");
  const std::string question =
      words.say("caution.yes", {{"question", words.say("caution." + caution.key + ".question")}});
  const double height = 19 + ink.measure(what, action).height + ink.measure(question, asked).height + 7;
  sheet.need(height + 4);
  const double y = sheet.y;
  ink.fill_box(left, y, width, height, fill);
  if (grave(caution)) {
    ink.fill_box(left, y, width, 16, edge);
  } else {
    ink.fill_box(left, y, 3, height, edge);
  }
  ink.text(left + inset, y + 2, meaning, label);
  double below = y + 19;
  below += ink.text(left + inset, below, what, action).height;
  ink.text(left + inset, below + 1, question, asked);
  sheet.y += height + 4;
}

// What was answered no, what has no answer, when to stop, and what the program is.
std::vector<std::string> quiet_cautions(const ScreenWords& words) {
  const visit::CautionVerdict& verdict = words.screen().cautions;
  const model::Cautions& asked = words.screen().models.cautions;
  const std::string count = std::to_string(asked.questions.size());
  std::vector<std::string> lines;
  if (!verdict.not_asked.empty()) {
    std::vector<std::string> names;
    for (const std::string& key : verdict.not_asked) names.push_back(words.say("caution." + key + ".name"));
    const bool none = verdict.yes.empty() && names.size() == asked.questions.size();
    lines.push_back(none ? words.say("caution.none-asked", {{"count", count}})
                         : words.say("caution.not-asked", {{"names", joined(names, ", ")}}));
    if (verdict.yes.empty() && !none) lines.push_back(words.say("caution.no-yes"));
  } else if (verdict.yes.empty()) {
    lines.push_back(words.say("caution.none", {{"count", count}}));
  }
  lines.push_back(words.say("caution.stop", {{"limit", words.plain(asked.pain_stop.value)}}) + " " +
                  words.say("device"));
  return lines;
}

struct PainCell {
  std::string test;
  std::string pain;
  bool over = false;
  bool beside = false;  // the right of the left one before it
};

// Of what was measured, in the order of a visit, then of what was tried and could not be measured.
std::vector<std::pair<visit::Slot, visit::Pain>> pain_by_slot(const visit::Screen& screen) {
  std::vector<std::pair<visit::Slot, visit::Pain>> out;
  for (const visit::TestResult& result : screen.results) out.emplace_back(result.slot, result.pain);
  for (const visit::TestEntry& entry : screen.session.tests) {
    const bool there = std::any_of(out.begin(), out.end(), [&](const auto& one) { return one.first == entry.slot; });
    if (!there) out.emplace_back(entry.slot, entry.pain);
  }
  return out;
}

std::vector<PainCell> pain_cells(const ScreenWords& words) {
  const auto& flags = words.screen().cautions.pain;
  std::vector<PainCell> cells;
  for (const auto& [slot, felt] : pain_by_slot(words.screen())) {
    const std::string name = words.slot(slot);
    const bool over =
        std::any_of(flags.begin(), flags.end(), [&](const auto& flag) { return words.slot(flag.slot) == name; });
    const std::string pain = words.pain(felt);
    visit::Slot left_one = slot;
    left_one.side = Side::left;
    const bool beside = slot.side == Side::right && !cells.empty() && cells.back().test == words.slot(left_one);
    cells.push_back({name, pain.empty() ? not_known : pain, over, beside});
  }
  return cells;
}

// A hollow or a filled triangle: not low, or low.
void draw_sign(const Ink& ink, double x, double y, bool low) {
  if (low) ink.fill_tip_down(x, y + 3.2, 6.4, palette::ink);
  if (!low) ink.ring(x, y, 2.2, 0.8, palette::soft_ink);
}

void draw_one_evidence(Sheet& sheet, const ScreenWords& words, const EvidenceGroup& group, const Density& density) {
  const visit::Evidence& evidence = *group.first;
  const Ink ink = sheet.ink();
  const double x = left + 22;
  std::string text = evidence_in_words(words, evidence) + " — " + words.say(evidence.low ? "sign.low" : "sign.not-low");
  if (evidence.low) text += " (" + words.say(std::string("sureness.") + key_of(evidence.sureness)) + ")";
  std::string beats;
  for (const double beat : group.other_beats) beats += (beats.empty() ? "" : ", ") + words.plain(beat, 0);
  if (!beats.empty()) text += "; " + words.say("because.likewise", {{"beats", beats}});
  std::string why = limits_in_words(words, evidence);
  if (density.sources && !evidence.source.empty()) {
    why += (why.empty() ? "" : "; ") + words.say("because.source", {{"source", words.quoted(evidence.source)}});
  }
  const TextStyle usual{.size = density.text, .colour = palette::ink, .width = left + width - x};
  const TextStyle soft{.size = density.text - 0.9, .colour = palette::soft_ink, .width = left + width - x};
  const double height = ink.measure(text, usual).height + (why.empty() ? 0 : ink.measure(why, soft).height);
  sheet.need(height + 1.5);
  draw_sign(ink, left + 14, sheet.y + density.text * 0.62, evidence.low);
  sheet.y += ink.text(x, sheet.y, text, usual).height;
  if (!why.empty()) sheet.y += ink.text(x, sheet.y, why, soft).height;
  sheet.y += 1.5;
}

void draw_finding(Sheet& sheet, const ScreenWords& words, const visit::Finding& finding, const Density& density) {
  const Ink ink = sheet.ink();
  const std::string key = "finding." + finding.key;
  const std::string on = words.say("on." + std::string(key_of(finding.side)));
  const std::string sureness =
      words.say("sureness.label", {{"sureness", words.say(std::string("sureness.") + key_of(finding.sureness))}});
  const TextStyle label{.size = 7.2, .bold = true, .colour = palette::ink, .align = Align::right};
  const TextStyle title{.size = 9.4,
                        .bold = true,
                        .colour = palette::ink,
                        .width = width - inset - ink.measure(sureness, label).width - 10};
  const std::string name = words.say(key + ".title", {{"on", on}});
  sheet.need(ink.measure(name, title).height + 40);
  const double top = sheet.y;
  const int page = sheet.pages();
  ink.text(left + width, sheet.y + 2, sureness, label);
  sheet.y += ink.text(left + inset, sheet.y, name, title).height + 1;
  std::string text = words.say(key + ".text", {{"on", on}});
  if (words.screen().plan.made) text += " " + words.say(key + ".train");
  sheet.say(text, {.size = density.text, .colour = palette::ink}, left + inset);
  sheet.y += 1.5;
  const auto groups = grouped(finding.because);
  const std::size_t shown = std::min(groups.size(), density.most_evidence);
  for (std::size_t i = 0; i < shown; ++i) draw_one_evidence(sheet, words, groups[i], density);
  const TextStyle soft{.size = density.text - 0.6, .colour = palette::ink};
  if (shown < groups.size()) {
    sheet.say(words.say("findings.left-out", {{"count", std::to_string(groups.size() - shown)}}), soft, left + 22);
  }
  std::vector<std::string> others;
  for (const std::string& other : finding.could_also_be) others.push_back(words.say("other." + other));
  if (!others.empty()) {
    sheet.say(words.say("finding.other", {{"others", joined(others, "; ")}}), soft, left + inset);
  }
  if (density.rules && words.screen().plan.made) {  // a rule says what to train too
    sheet.say(words.say("finding.rule", {{"source", words.quoted(finding.source)}, {"mark", words.mark(finding.mark)}}),
              {.size = density.text - 0.9, .colour = palette::soft_ink}, left + inset);
  }
  if (sheet.pages() == page) sheet.ink().line(left + 2, top + 1, left + 2, sheet.y, 1.6, palette::trace);
  sheet.y += 6;
}

}  // namespace

void draw_yes_answers(Sheet& sheet, const ScreenWords& words) {
  for (const visit::Caution& caution : words.screen().cautions.yes) draw_yes(sheet, words, caution);
  if (!words.screen().cautions.yes.empty()) sheet.y += 4;
}

void draw_cautions(Sheet& sheet, const ScreenWords& words) {
  const Ink ink = sheet.ink();
  const TextStyle style{.size = 7.4, .colour = palette::ink, .width = width - 2 * inset};
  const auto lines = quiet_cautions(words);
  double height = 18;
  for (const std::string& line : lines) height += ink.measure(line, style).height + 1;
  sheet.need(height + 6);
  ink.fill_box(left, sheet.y, width, height, palette::caution_fill);
  ink.fill_box(left, sheet.y, 3, height, palette::ink);
  ink.text(left + inset, sheet.y + 3, words.say("caution.heading"),
           {.size = 8.6, .bold = true, .colour = palette::ink});
  double y = sheet.y + 15;
  for (const std::string& line : lines) y += ink.text(left + inset, y, line, style).height + 1;
  sheet.y += height + 7;
}

void draw_pain(Sheet& sheet, const ScreenWords& words) {
  const auto cells = pain_cells(words);
  sheet.heading(words.say("pain.heading"), 24);
  const Ink ink = sheet.ink();
  const TextStyle soft{.size = 7.0, .colour = palette::soft_ink, .align = Align::right};
  ink.text(left + width, sheet.y - 13, words.say("pain.scale"), soft);
  if (cells.empty()) return sheet.say(words.say("nothing-tested"), {.size = 8.2, .bold = true, .colour = palette::ink});
  const bool any = std::any_of(cells.begin(), cells.end(), [](const PainCell& c) { return c.pain != not_known; });
  if (!any) {
    sheet.say(words.say("pain.none"), {.size = 7.6, .colour = palette::ink});
    sheet.y += 6;
    return;
  }
  const double pitch = width / 2;
  const std::string over =
      words.say("pain.over", {{"limit", words.plain(words.screen().models.cautions.pain_stop.value)}});
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (!cells[i].beside) sheet.need(11);
    const double x = left + (cells[i].beside ? pitch + 6 : 0);
    const TextStyle name{.size = 7.4, .colour = palette::ink};
    const TextStyle figures{
        .size = 7.4, .bold = true, .colour = cells[i].over ? palette::alarm : palette::ink, .align = Align::right};
    const double taken =
        ink.text(x + pitch - 8, sheet.y, (cells[i].over ? over + ":  " : "") + cells[i].pain, figures).width;
    TextStyle fitted = name;
    fitted.width = pitch - 8 - taken - 6;
    ink.text(x, sheet.y, ink.fitted(cells[i].test, fitted, 10.5), name);
    if (i + 1 == cells.size() || !cells[i + 1].beside) sheet.y += 10.6;
  }
  sheet.y += 5;
}

void draw_findings(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const visit::Reading& reading = words.screen().reading;
  sheet.heading(words.say("findings.heading"), 40);
  const std::size_t shown = std::min(reading.findings.size(), density.most_findings);
  for (std::size_t i = 0; i < shown; ++i) draw_finding(sheet, words, reading.findings[i], density);
  const TextStyle usual{.size = 7.6, .colour = palette::ink};
  if (reading.findings.empty()) sheet.say(words.say("findings.none"), usual);
  if (shown < reading.findings.size()) {
    sheet.say(words.say("findings.left-out", {{"count", std::to_string(reading.findings.size() - shown)}}), usual);
  }
  if (!reading.missing.empty()) {
    std::vector<std::string> slots;
    for (const std::string& key : reading.missing) slots.push_back(words.slot(key));
    sheet.say(words.say("findings.missing", {{"slots", joined(slots, "; ")}}), usual);
  }
  sheet.y += 6;
}

}  // namespace risetrace::report
