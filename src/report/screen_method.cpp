#include "report/screen_method.h"

#include <algorithm>
#include <vector>

#include "report/palette.h"
#include "report/report_page.h"
#include "report/screen_tables.h"
#include "report/terminal_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

std::string said_or_raw(const ScreenWords& words, const std::string& family, const std::string& key) {
  return words.words().has(family + key) ? words.say(family + key) : readable(key);
}

// What was set and seen in one test, one after the other.
std::string settings_of(const ScreenWords& words, const visit::TestResult& result, const std::string& version) {
  std::vector<std::string> parts;
  if (!result.scale_from.empty()) {
    parts.push_back(words.say("got.scale", {{"scale", said_or_raw(words, "scale.", result.scale_from)}}));
  }
  if (!result.marker.empty()) {
    parts.push_back(words.say("reference.marker", {{"marker", said_or_raw(words, "marker.", result.marker)}}));
  }
  if (result.incline_deg) parts.push_back(words.say("got.incline", {{"value", words.plain(*result.incline_deg)}}));
  if (result.asked_bpm) {
    parts.push_back(words.say("got.asked", {{"value", words.plain(*result.asked_bpm)}}));
  }
  if (result.end_fraction) {
    parts.push_back(words.say("got.end-fraction", {{"value", words.plain(100 * *result.end_fraction)}}));
  }
  if (result.set_end) parts.push_back(said_or_raw(words, "set-end.", *result.set_end));
  if (!result.program_version.empty() && result.program_version != version) {
    parts.push_back(words.say("got.version", {{"version", readable(result.program_version)}}));
  }
  if (!result.remark.empty()) parts.push_back("“" + readable(result.remark) + "”");
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text;
}

// In two cells: the test, and all that is known of it.
void draw_test(Sheet& sheet, const std::string& test, const std::string& how, const Density& density) {
  const double at = left + 138;
  const TextStyle name{.size = density.text - 0.8, .bold = true, .colour = palette::ink, .width = at - left - 6};
  const TextStyle text{.size = density.text - 0.8, .colour = palette::ink, .width = left + width - at};
  const Ink ink = sheet.ink();
  const double height = std::max(ink.measure(test, name).height, ink.measure(how, text).height);
  sheet.need(height + 1.5);
  ink.text(left, sheet.y, test, name);
  ink.text(at, sheet.y, how, text);
  sheet.y += height + 1.5;
}

std::string how_got(const ScreenWords& words, const visit::TestResult& result, const std::string& version,
                    std::size_t most_letters) {
  std::string how = words.say(std::string("got.") + key_of(result.got_by));
  if (!result.source_file.empty()) how += " " + cut_to_columns(readable(result.source_file), most_letters);
  if (!result.source_sha256.empty()) how += " (" + readable(result.source_sha256.substr(0, 12)) + ")";
  const std::string settings = settings_of(words, result, version);
  return how + (settings.empty() ? "" : "; " + settings);
}

void draw_signature(Sheet& sheet, const ScreenWords& words) {
  sheet.need(52);
  const Ink ink = sheet.ink();
  draw_heading(ink, left, sheet.y + 4, words.say("sign.heading"));
  const double y = sheet.y + 38;
  const double half = width / 2 - 10;
  const TextStyle soft{.size = 6.6, .colour = palette::soft_ink};
  ink.line(left, y, left + half, y, 0.8, palette::ink);
  ink.line(left + half + 20, y, left + width, y, 0.8, palette::ink);
  ink.text(left, y + 2, words.say("sign.name"), soft);
  ink.text(left + half + 20, y + 2, words.say("sign.date"), soft);
  sheet.y = y + 14;
}

}  // namespace

void draw_how_got(Sheet& sheet, const ScreenWords& words, const std::string& version, const Density& density) {
  const visit::Screen& screen = words.screen();
  if (screen.results.empty() && screen.session.tests.empty()) return;
  sheet.heading(words.say("got.heading"), 30);
  for (const visit::TestResult& result : screen.results) {
    draw_test(sheet, words.slot(result.slot), how_got(words, result, version, density.most_file_letters), density);
  }
  for (const visit::TestEntry& entry : screen.session.tests) {
    const bool there = std::any_of(screen.results.begin(), screen.results.end(),
                                   [&](const visit::TestResult& result) { return result.slot == entry.slot; });
    if (!there) draw_test(sheet, words.slot(entry.slot), words.say("got.left-out"), density);
  }
  sheet.y += 6;
}

void draw_notes_of_visit(Sheet& sheet, const ScreenWords& words, const Density& density) {
  std::vector<std::string> lines;
  for (const Note& note : words.screen().notes) lines.push_back(words.note(note));
  for (const visit::TestResult& result : words.screen().results) {
    for (const Note& note : result.notes) lines.push_back(words.slot(result.slot) + ": " + words.note(note));
  }
  if (lines.empty()) return;
  sheet.heading(words.say("notes.heading"), 20);
  const std::size_t shown = std::min(lines.size(), density.most_notes);
  const TextStyle style{.size = density.text - 0.7, .colour = palette::ink};
  for (std::size_t i = 0; i < shown; ++i) sheet.say(lines[i], style);
  if (shown < lines.size()) {
    sheet.say(words.say("notes.left-out", {{"count", std::to_string(lines.size() - shown)}}), style);
  }
  sheet.y += 6;
}

void draw_method(Sheet& sheet, const ScreenWords& words, const std::string& version) {
  std::string files;
  for (const model::UsedFile& file : words.screen().models.used) {
    const std::string name = readable(file.file);
    files += (files.empty() ? "" : ", ") + (file.own ? words.say("method.own", {{"file", name}}) : name);
  }
  sheet.heading(words.say("method.heading"), 90);
  const std::vector<std::pair<std::string, std::string>> rows = {
      {words.say("method.program"), words.say("method.program-text", {{"version", version}})},
      {words.say("method.models"), files.empty() ? not_known : files},
      {words.say("method.formulas"), words.say("method.formulas-text")}};
  for (const auto& [name, text] : rows) draw_test(sheet, name, text, {.text = 7.6});
  draw_signature(sheet, words);
}

}  // namespace risetrace::report
