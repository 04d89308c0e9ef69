#include "report/screen_tables.h"

#include <algorithm>
#include <vector>

#include "report/palette.h"
#include "report/report_page.h"
#include "report/side_table.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

constexpr TextStyle foot_style{.size = 6.5, .colour = palette::soft_ink};

void draw_group(Sheet& sheet, const std::string& name) {
  sheet.need(22);
  sheet.ink().text(left, sheet.y + 1.5, name, {.size = 7.2, .bold = true, .colour = palette::trace});
  sheet.y += 11.5;
}

std::string with_unit(const ScreenWords& words, const std::string& quantity) {
  const std::string unit = words.unit(quantity);
  return words.quantity(quantity) + (unit.empty() ? "" : ", " + unit);
}

// What both legs together gave, where there is no side to compare: a line a quantity.
std::vector<std::string> both_legs(const ScreenWords& words, const visit::TestResult& result) {
  std::vector<std::string> lines;
  for (const model::Quantity& quantity : words.screen().models.norms.quantities) {
    std::string text;
    for (const visit::BeatValues& beat : result.beats) {
      const auto found = beat.values.find(quantity.key);
      if (found == beat.values.end()) continue;
      text += (text.empty() ? "" : "  ·  ") +
              words.say("sides.at-beat", {{"beat", words.plain(beat.beat_bpm, 0)},
                                          {"value", words.with_u(quantity.key, found->second)}});
    }
    const auto whole = result.values.find(quantity.key);
    if (text.empty() && whole != result.values.end()) text = words.with_u(quantity.key, whole->second);
    if (!text.empty()) lines.push_back(with_unit(words, quantity.key) + ":  " + text);
  }
  return lines;
}

void draw_both_legs(Sheet& sheet, const ScreenWords& words, std::size_t most) {
  std::size_t left_out = 0;
  for (const visit::TestResult& result : words.screen().results) {
    if (result.slot.side != Side::both) continue;
    const auto lines = both_legs(words, result);
    const std::size_t shown = std::min(lines.size(), most);
    left_out += lines.size() - shown;
    most -= shown;
    if (shown == 0) continue;
    draw_group(sheet, words.form(result.slot.test, result.slot.knee) + ", " + words.say("plots.both-legs"));
    for (std::size_t i = 0; i < shown; ++i) sheet.say(lines[i], {.size = 7.0, .colour = palette::ink});
  }
  if (left_out > 0) sheet.say(words.say("sides.left-out", {{"count", std::to_string(left_out)}}), foot_style);
}

// The first of them, in their order; where there are too many, those that no cut-off is known of go first.
std::vector<const visit::SideRow*> rows_to_show(const std::vector<visit::SideRow>& rows, std::size_t most) {
  std::vector<const visit::SideRow*> chosen;
  chosen.reserve(rows.size());
  for (const visit::SideRow& row : rows) chosen.push_back(&row);
  for (std::size_t i = chosen.size(); i-- > 0 && chosen.size() > most;) {
    const auto& difference = chosen[i]->difference;
    if (!difference || difference->beyond.cut_off == visit::Beyond::not_known) {
      chosen.erase(chosen.begin() + static_cast<std::ptrdiff_t>(i));
    }
  }
  if (chosen.size() > most) chosen.resize(most);
  return chosen;
}

bool any_of_quantity(const visit::Screen& screen, const std::string& quantity) {
  return std::any_of(screen.results.begin(), screen.results.end(), [&](const visit::TestResult& result) {
    return result.values.contains(quantity) ||
           std::any_of(result.beats.begin(), result.beats.end(),
                       [&](const auto& beat) { return beat.values.contains(quantity); });
  });
}

std::string sides_foot(const ScreenWords& words) {
  const visit::Screen& screen = words.screen();
  const Side affected = screen.session.person.affected_side;
  const bool one = affected == Side::left || affected == Side::right;
  std::string foot = words.say("sides.foot", {{"affected", one ? words.say("sides.foot-affected") : ""},
                                              {"factor", words.plain(screen.models.norms.coverage_factor, 2)}});
  if (any_of_quantity(screen, "work_j")) foot += " " + words.say("sides.work");
  if (any_of_quantity(screen, "stiffness_kn_m")) foot += " " + words.say("sides.stiffness");
  return foot;
}

// One reference beside the values of every leg that it is held against.
struct ReferenceBlock {
  const visit::ReferenceRow* first = nullptr;
  std::vector<const visit::ReferenceRow*> rows;
};

std::vector<ReferenceBlock> reference_blocks(const visit::Screen& screen) {
  std::vector<ReferenceBlock> blocks;
  for (const visit::ReferenceRow& row : screen.comparison.references) {
    const auto same = [&](const ReferenceBlock& block) {
      return block.first->reference.key == row.reference.key && block.first->slot.test == row.slot.test &&
             block.first->slot.knee == row.slot.knee && block.first->form_differs == row.form_differs;
    };
    const auto at = std::find_if(blocks.begin(), blocks.end(), same);
    if (at != blocks.end()) {
      at->rows.push_back(&row);
    } else {
      blocks.push_back({&row, {&row}});
    }
  }
  return blocks;
}

std::string reference_value(const ScreenWords& words, const model::Reference& reference) {
  std::string key = reference.statistic;
  std::replace(key.begin(), key.end(), ' ', '-');
  const std::string statistic =
      words.words().has("statistic." + key) ? words.say("statistic." + key) : readable(reference.statistic);
  const auto number = [&](double value) { return words.plain(value, 1); };
  std::string text = statistic + " ";
  if (reference.value) text += number(*reference.value);
  if (!reference.value && reference.low && reference.high) {
    text += number(*reference.low) + "–" + number(*reference.high);
  }
  const std::string unit = words.unit(reference.quantity);
  if (!unit.empty()) text += " " + unit;
  if (reference.sd) text += ", " + words.say("reference.sd", {{"sd", number(*reference.sd)}});
  return text;
}

std::string population_of(const ScreenWords& words, const model::Reference& reference) {
  std::string text = words.quoted(reference.population);
  const auto add = [&](const std::string& more) { text += ", " + more; };
  if (!reference.sex.empty() && words.words().has("sex." + reference.sex)) add(words.say("sex." + reference.sex));
  if (reference.n) add(words.say("reference.n", {{"n", std::to_string(*reference.n)}}));
  if (reference.form.incline_deg) {
    add(words.say("reference.incline", {{"value", words.plain(*reference.form.incline_deg)}}));
  }
  if (!reference.form.marker.empty()) {
    const std::string marker = words.words().has("marker." + reference.form.marker)
                                   ? words.say("marker." + reference.form.marker)
                                   : readable(reference.form.marker);
    add(words.say("reference.marker", {{"marker", marker}}));
  }
  if (reference.form.reps_per_min) {
    add(words.say("reference.rate", {{"value", words.plain(*reference.form.reps_per_min)}}));
  }
  return text;
}

struct ReferenceColumns {
  double value = left + 132;
  double reference = left + 296;
  double warning = left + 366;
};

std::string values_of(const ScreenWords& words, const ReferenceBlock& block) {
  std::string values;
  for (const visit::ReferenceRow* row : block.rows) {
    values +=
        (values.empty() ? "" : ", ") + words.side(row->slot.side) + " " + words.figure(row->quantity, row->value.value);
    if (row->of_reference_pct) values += " (" + words.words().number(*row->of_reference_pct, 0) + " %)";
  }
  return values;
}

// A line with the values, the reference and where the form differs; below it whose value that is and who published it.
void draw_reference(Sheet& sheet, const ScreenWords& words, const ReferenceBlock& block) {
  const ReferenceColumns at;
  const visit::ReferenceRow& first = *block.first;
  std::string warning;
  for (const std::string& form : first.form_differs) {
    warning += (warning.empty() ? "" : ", ") + words.say("form." + form);
  }
  if (!warning.empty()) warning = words.say("references.form-differs", {{"forms", warning}});
  const auto cell = [](double cell_width) {
    return TextStyle{.size = 7.0, .colour = palette::ink, .width = cell_width - 8};
  };
  const TextStyle name_style = cell(at.value - left);
  const TextStyle value_style = cell(at.reference - at.value);
  const TextStyle reference_style = cell(at.warning - at.reference);
  TextStyle warning_style = cell(left + width - at.warning);
  warning_style.bold = true;
  const TextStyle source_style{.size = 6.5, .colour = palette::soft_ink, .width = width};
  const bool by_knee = first.slot.knee == Knee::straight || first.slot.knee == Knee::bent;
  const std::string form = by_knee ? words.say("knee." + std::string(key_of(first.slot.knee)))
                                   : words.form(first.slot.test, first.slot.knee);
  const std::string name = words.quantity(first.quantity) + ", " + form;
  const std::string values = values_of(words, block);
  const std::string reference = reference_value(words, first.reference);
  const std::string source = population_of(words, first.reference) + ". " + words.quoted(first.reference.source) +
                             " (" + words.mark(first.reference.mark) + ")";
  const Ink ink = sheet.ink();
  const double line = std::max({ink.measure(name, name_style).height, ink.measure(values, value_style).height,
                                ink.measure(reference, reference_style).height,
                                warning.empty() ? 0.0 : ink.measure(warning, warning_style).height});
  const double height = line + ink.measure(source, source_style).height;
  sheet.need(height + 2.5);
  ink.text(left, sheet.y, name, name_style);
  ink.text(at.value, sheet.y, values, value_style);
  ink.text(at.reference, sheet.y, reference, reference_style);
  if (!warning.empty()) {
    ink.fill_tip_down(at.warning + 3, sheet.y + 7.4, 5.4, palette::low);
    ink.text(at.warning + 8, sheet.y, warning, warning_style);
  }
  ink.text(left, sheet.y + line, source, source_style);
  sheet.y += height + 2.5;
}

}  // namespace

void draw_sides(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const auto& rows = words.screen().comparison.sides;
  const auto& results = words.screen().results;
  const bool both =
      std::any_of(results.begin(), results.end(), [](const auto& r) { return r.slot.side == Side::both; });
  if (rows.empty() && !both) return;
  sheet.heading(words.say("sides.heading"), 60);
  if (!rows.empty()) {
    draw_side_heads(sheet, words,
                    {words.say("sides.left"), words.say("sides.right"), words.say("sides.difference"), true});
  }
  std::string group;
  const auto chosen = rows_to_show(rows, density.most_side_rows);
  const std::size_t shown = chosen.size();
  for (const visit::SideRow* one : chosen) {
    const visit::SideRow& row = *one;
    const std::string name = words.form(row.test, row.knee, row.beat_bpm);
    if (name != group) draw_group(sheet, name);
    group = name;
    SideLine line{with_unit(words, row.quantity),
                  row.quantity,
                  row.left,
                  row.right,
                  row.difference ? &*row.difference : nullptr,
                  "",
                  row.weaker};
    if (!row.why_not.empty()) line.why_not = words.say("not-compared." + row.why_not);
    draw_side_line(sheet, words, line, true);
  }
  if (shown < rows.size()) {
    sheet.say(words.say("sides.left-out", {{"count", std::to_string(rows.size() - shown)}}), foot_style);
  }
  draw_both_legs(sheet, words, density.most_both_rows);
  sheet.y += 2;
  sheet.say(sides_foot(words), foot_style);
  sheet.y += 7;
}

void draw_knees(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const auto& rows = words.screen().comparison.knees;
  if (rows.empty()) return;
  constexpr std::size_t few = 6;  // above it only those that a cut-off is known of
  sheet.heading(words.say("knees.heading"), 30 + 10.5 * static_cast<double>(std::min<std::size_t>(rows.size(), 3)));
  draw_side_heads(sheet, words,
                  {words.say("knees.bent"), words.say("knees.straight"), words.say("knees.difference"), false});
  std::size_t shown = 0;
  for (const visit::KneeRow& row : rows) {
    if (!row.difference || shown == density.most_side_rows / 4) continue;
    if (row.difference->beyond.cut_off == visit::Beyond::not_known && rows.size() > few) continue;
    ++shown;
    const std::string name =
        words.say("knees.row", {{"quantity", with_unit(words, row.quantity)}, {"side", words.side(row.side)}});
    draw_side_line(
        sheet, words,
        {name, row.quantity, row.difference->first, row.difference->second, &*row.difference, "", Side::not_stated},
        false);
  }
  if (shown < rows.size()) {
    sheet.say(words.say("sides.left-out", {{"count", std::to_string(rows.size() - shown)}}), foot_style);
  }
  sheet.y += 1.5;
  sheet.say(words.say("knees.foot"), foot_style);
  sheet.y += 7;
}

void draw_references(Sheet& sheet, const ScreenWords& words, const Density& density) {
  const auto blocks = reference_blocks(words.screen());
  if (blocks.empty()) return;
  sheet.heading(words.say("references.heading"), 38);
  const ReferenceColumns at;
  const Ink ink = sheet.ink();
  const TextStyle soft{.size = 6.4, .colour = palette::soft_ink};
  ink.text(left, sheet.y, words.say("sides.quantity"), soft);
  ink.text(at.value, sheet.y, words.say("references.value"), soft);
  ink.text(at.reference, sheet.y, words.say("references.reference"), soft);
  ink.line(left, sheet.y + 9.5, left + width, sheet.y + 9.5, 0.6, palette::soft_ink);
  sheet.y += 12;
  const std::size_t shown = std::min(blocks.size(), density.most_references);
  for (std::size_t i = 0; i < shown; ++i) draw_reference(sheet, words, blocks[i]);
  if (shown < blocks.size()) {
    sheet.say(words.say("sides.left-out", {{"count", std::to_string(blocks.size() - shown)}}), foot_style);
  }
  sheet.say(words.say("references.foot"), foot_style);
  sheet.y += 7;
}

}  // namespace risetrace::report
