// The plots of a visit: both sides over each other, and each quantity over the visits.
#pragma once

#include "report/screen_front.h"
#include "report/screen_words.h"
#include "report/sheet.h"

namespace risetrace::report {

// Left a disc and a solid line, right a square and a broken one, both legs a diamond and dots; hollow where not
// counted.
void draw_side_mark(const Ink& ink, double x, double y, double size, Side side, bool hollow);
void set_side_line(const Ink& ink, Side side);  // colour, width and dashes for the line that follows
Colour colour_of(Side side);

// Beside each other: rep by rep the two sides of each knee position, and time on the ground over the beat, fast to
// slow. As high as there is room for; nothing of what was not tested.
void draw_both_sides(Sheet& sheet, const ScreenWords& words, const Density& density);
// The heel's height over time, both sides from their first peak on, as wide as the page; one plot a knee position.
void draw_traces(Sheet& sheet, const ScreenWords& words, const Density& density);
// A small plot a quantity, with bands of retest noise about the first visit.
void draw_trends(Sheet& sheet, const ScreenWords& words, const Density& density);

}  // namespace risetrace::report
