// The last part of a visit's report: notes, method, signature.
#pragma once

#include <string>

#include "report/screen_front.h"
#include "report/screen_words.h"
#include "report/sheet.h"

namespace risetrace::report {

// Of the visit, then of each test.
void draw_notes_of_visit(Sheet& sheet, const ScreenWords& words, const Density& density);
// Program, files the values are from, formulas, what the program is not, and where the clinician signs.
void draw_method(Sheet& sheet, const ScreenWords& words, const std::string& version);

}  // namespace risetrace::report
