// The tables of a visit's report: sides, knee positions, references, and how each number was got.
#pragma once

#include "report/screen_front.h"
#include "report/screen_words.h"
#include "report/sheet.h"

namespace risetrace::report {

// Left, right, difference and index, each with its uncertainty, and the three readings kept apart.
void draw_sides(Sheet& sheet, const ScreenWords& words, const Density& density);
// Bent against straight, in the same columns. Nothing where no leg was tested both ways.
void draw_knees(Sheet& sheet, const ScreenWords& words, const Density& density);
// Published and customary values beside the person's, with population and form, and a warning where the form differs.
void draw_references(Sheet& sheet, const ScreenWords& words, const Density& density);
// Test by test: clip, result or by hand, with what was set. `version`: of this program; another one that measured a
// clip is named.
void draw_how_got(Sheet& sheet, const ScreenWords& words, const std::string& version, const Density& density);

}  // namespace risetrace::report
