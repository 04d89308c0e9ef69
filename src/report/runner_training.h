// The runner's training on the sheet: exercises with drawings, the week, the rules.
#pragma once

#include <string>

#include "report/screen_words.h"
#include "report/text.h"

namespace risetrace::report {

// From `y` down, in letters of `size` pt; returns where it ends.
double draw_training(const Ink& ink, double y, double size, const ScreenWords& words);

// The mark that tells a ladder's days from another's.
void draw_ladder_mark(const Ink& ink, double x, double y, double size, const std::string& ladder);

// Boxes to tick and places for the pain, week by week up to the next test. 0 high where the weeks or days are not
// known.
double diary_height(const ScreenWords& words);
void draw_diary(const Ink& ink, double y, const ScreenWords& words);

}  // namespace risetrace::report
