// Drawings of the exercises, a rung each, by the rung's key in models/ladders.json.
#pragma once

#include <string>

#include "report/plot_axes.h"
#include "report/text.h"

namespace risetrace::report {

bool has_rung_drawing(const std::string& key);
// The start beside the end of the movement, with what stands about: wall, step, weight, ways to go. Nothing for a rung
// without a drawing.
void draw_rung(const Ink& ink, const Area& area, const std::string& key);

}  // namespace risetrace::report
