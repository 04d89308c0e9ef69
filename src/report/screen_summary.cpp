#include "report/screen_summary.h"

#include <algorithm>
#include <iterator>
#include <vector>

#include "report/evidence_words.h"
#include "report/plan_words.h"
#include "report/screen_words.h"
#include "report/terminal_page.h"

namespace risetrace::report {
namespace {

constexpr std::size_t columns = 100;
constexpr std::size_t most_lines = 40;
constexpr std::size_t label_columns = 12;
constexpr std::size_t most_notes = 3;

struct Lines {
  std::vector<std::string> all;

  // The label, then the text wrapped beside it.
  void add(const std::string& label, const std::string& text) {
    bool first = true;
    for (const std::string& line : wrapped_to_columns(text, columns - label_columns)) {
      std::string shown = first ? cut_to_columns(label, label_columns - 1) : "";
      shown += std::string(label_columns - columns_of(shown), ' ');
      all.push_back(shown + line);
      first = false;
    }
  }
};

std::string padded(const std::string& text, std::size_t width, bool right) {
  const std::string shown = cut_to_columns(text, width);
  const std::string blanks(width - columns_of(shown), ' ');
  return right ? blanks + shown : shown + blanks;
}

void add_cautions(Lines& lines, const ScreenWords& words) {
  const visit::CautionVerdict& verdict = words.screen().cautions;
  const std::string label = words.say("summary.cautions");
  const std::size_t before = lines.all.size();
  for (const visit::Caution& caution : verdict.yes) {
    lines.add(lines.all.size() == before ? label : "", words.say(std::string("means.") + key_of(caution.means)) + ": " +
                                                           words.say("caution." + caution.key + ".action"));
  }
  const std::string count = std::to_string(words.screen().models.cautions.questions.size());
  if (!verdict.not_asked.empty()) {
    std::string names;
    for (const std::string& key : verdict.not_asked) {
      names += (names.empty() ? "" : ", ") + words.say("caution." + key + ".name");
    }
    const bool none = verdict.not_asked.size() == words.screen().models.cautions.questions.size();
    lines.add(lines.all.size() == before ? label : "", none ? words.say("caution.none-asked", {{"count", count}})
                                                            : words.say("caution.not-asked", {{"names", names}}));
  } else if (verdict.yes.empty()) {
    lines.add(label, words.say("caution.none", {{"count", count}}));
  }
  if (verdict.pain.empty()) return;
  std::string tests;
  for (const visit::PainFlag& flag : verdict.pain) {
    tests += (tests.empty() ? "" : "; ") + words.slot(flag.slot) + " " + std::to_string(flag.worst);
  }
  lines.add(words.say("summary.pain"),
            words.say("summary.pain-over",
                      {{"limit", words.plain(words.screen().models.cautions.pain_stop.value)}, {"tests", tests}}));
}

void add_findings(Lines& lines, const ScreenWords& words) {
  const visit::Reading& reading = words.screen().reading;
  const std::string label = words.say("summary.findings");
  if (reading.findings.empty()) lines.add(label, words.say("findings.none"));
  for (std::size_t i = 0; i < reading.findings.size(); ++i) {
    const visit::Finding& finding = reading.findings[i];
    const std::string on = words.say("on." + std::string(key_of(finding.side)));
    lines.add(i == 0 ? label : "", words.say("finding." + finding.key + ".title", {{"on", on}}) + " (" +
                                       words.say(std::string("sureness.") + key_of(finding.sureness)) + ")");
  }
  if (reading.missing.empty()) return;
  std::string slots;
  for (const std::string& key : reading.missing) slots += (slots.empty() ? "" : "; ") + words.slot(key);
  lines.add(words.say("summary.missing"), slots);
}

std::vector<std::string> plan_lines(const ScreenWords& words) {
  const visit::Plan& plan = words.screen().plan;
  Lines lines;
  std::string label = words.say("summary.plan");
  if (!plan.made) {
    lines.add(label, words.say("plan.none") + (plan.why_not.empty() ? "" : " " + words.say("no-plan." + plan.why_not)));
    return lines.all;
  }
  const auto add = [&](const std::string& text) {
    lines.add(label, text);
    label.clear();
  };
  for (const visit::PlanLine& line : plan.lines) {
    add(words.say("ladder." + line.ladder) + ": " + words.say("rung." + line.rung.key + ".name") + "; " +
        dose_in_words(words, line) + "; " + days_in_words(words, line));
  }
  for (const std::string& held : held_in_words(words)) add(held);
  if (plan.next_test) add(words.say("plan.next-test", {{"date", words.date(*plan.next_test)}}));
  return lines.all;
}

std::string table_line(const std::vector<std::string>& cells) {
  constexpr std::size_t name = 33;
  constexpr std::size_t figure = 16;
  constexpr std::size_t last = 12;
  std::string line = padded(cells[0], name, false);
  for (std::size_t i = 1; i < 4; ++i) line += " " + padded(cells[i], figure, true);
  return line + " " + padded(cells[4], last, true);
}

// As many rows as there is room for, and how many are left out.
void add_sides(Lines& lines, const ScreenWords& words, std::size_t room) {
  const auto& all = words.screen().comparison.sides;
  std::vector<visit::SideRow> rows;  // those that a cut-off was held against, or that could not be compared
  std::copy_if(all.begin(), all.end(), std::back_inserter(rows), [](const visit::SideRow& row) {
    return !row.difference || row.difference->beyond.cut_off != visit::Beyond::not_known;
  });
  if (rows.empty() || room < 3) return;
  lines.all.push_back(table_line({words.say("sides.heading"), words.say("sides.left"), words.say("sides.right"),
                                  words.say("sides.difference"), words.say("summary.cut-off")}));
  room -= 1;
  std::string group;
  std::size_t shown = 0;
  room -= rows.size() < all.size() ? 1 : 0;  // for how many are left out
  for (; shown < rows.size(); ++shown) {
    const visit::SideRow& row = rows[shown];
    const std::string form = words.form(row.test, row.knee, row.beat_bpm);
    const std::size_t needed = form == group ? 1 : 2;
    const std::size_t kept = shown + 1 < rows.size() ? 1 : 0;
    if (needed + kept > room) break;
    if (form != group) lines.all.push_back(cut_to_columns(form, columns));
    group = form;
    room -= needed;
    const std::string unit = words.unit(row.quantity);
    const std::string name = "  " + words.quantity(row.quantity) + (unit.empty() ? "" : ", " + unit);
    const std::string difference =
        row.difference ? words.with_u(row.quantity, row.difference->difference, row.difference->difference_u)
                       : words.say("not-compared." + row.why_not);
    const std::string cut_off = row.difference
                                    ? words.say(std::string("beyond.") + key_of(row.difference->beyond.cut_off))
                                    : std::string(not_known);
    lines.all.push_back(table_line(
        {name, words.with_u(row.quantity, row.left), words.with_u(row.quantity, row.right), difference, cut_off}));
  }
  if (shown < all.size()) {
    lines.all.push_back(words.say("sides.left-out", {{"count", std::to_string(all.size() - shown)}}));
  }
}

}  // namespace

std::string screen_summary(const visit::Screen& screen, const model::Wording& words) {
  const ScreenWords said(screen, words);
  Lines lines;
  const std::string title = said.say(
      "summary.title", {{"code", said.quoted(screen.session.person.code)}, {"date", said.date(screen.session.date)}});
  add_cautions(lines, said);
  lines.all.insert(lines.all.begin(), cut_to_columns(title, columns));
  add_findings(lines, said);
  std::vector<std::string> last = plan_lines(said);
  Lines notes;
  for (std::size_t i = 0; i < std::min(screen.notes.size(), most_notes); ++i) {
    notes.add(i == 0 ? said.say("summary.notes") : "", said.note(screen.notes[i]));
  }
  last.insert(last.end(), notes.all.begin(), notes.all.end());
  const auto& rows = screen.comparison.sides;
  const bool work = std::any_of(rows.begin(), rows.end(), [](const auto& row) { return row.quantity == "work_j"; });
  for (const std::string& key : {std::string(work ? "sides.work" : ""), std::string("device")}) {
    if (key.empty()) continue;
    for (const std::string& line : wrapped_to_columns(said.say(key), columns)) last.push_back(line);
  }
  const std::size_t taken = lines.all.size() + last.size();
  add_sides(lines, said, taken < most_lines ? most_lines - taken : 0);
  lines.all.insert(lines.all.end(), last.begin(), last.end());
  if (lines.all.size() > most_lines) {  // cautions and findings enough to fill it
    lines.all.resize(most_lines - 1);
    lines.all.push_back(said.say("summary.cut"));
  }
  std::string text;
  for (const std::string& line : lines.all) text += line + "\n";
  return text;
}

}  // namespace risetrace::report
