// The first page of a visit's report: cautions, pain, findings and the plan.
#pragma once

#include <cstddef>

#include "report/screen_words.h"
#include "report/sheet.h"

namespace risetrace::report {

// How much goes on the pages: a long visit is told more closely, and what is left out is said.
struct Density {
  double text = 7.6;  // pt
  std::size_t most_findings = 6;
  std::size_t most_evidence = 8;    // of a finding
  double most_plot_height = 180.0;  // pt, with its title
  std::size_t most_side_rows = 60;
  std::size_t most_trends = 12;
  std::size_t most_references = 16;
  std::size_t most_notes = 24;
  std::size_t most_both_rows = 20;  // of what both legs together gave
  std::size_t most_file_letters = 60;
  bool sources = true;  // of each piece of evidence
  bool rules = true;    // of each finding
  bool traces = true;   // the heel's way over time, both sides
};

// The questions answered yes, the gravest first: what each means and what to do.
void draw_yes_answers(Sheet& sheet, const ScreenWords& words);
// What has no answer, when to stop, what the program is not.
void draw_cautions(Sheet& sheet, const ScreenWords& words);
// Tests left to right, each with its pain before, at worst and after.
void draw_pain(Sheet& sheet, const ScreenWords& words);
void draw_findings(Sheet& sheet, const ScreenWords& words, const Density& density);
// What to train, or why nothing is prescribed.
void draw_plan(Sheet& sheet, const ScreenWords& words, const Density& density);

}  // namespace risetrace::report
