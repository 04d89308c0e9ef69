// The plots of the report page, in pt.
#pragma once

#include <string>
#include <vector>

#include "measure/measurement.h"
#include "report/heights.h"
#include "report/plot_axes.h"
#include "report/text.h"

namespace risetrace::report {

// How a rep is drawn everywhere: low ones as a triangle, full ones as a disc, both hollow after the set's end.
struct RepMark {
  bool low = false;
  bool hollow = false;
};
RepMark mark_of(const raise::Rep& rep, const raise::SetEnd& end);
void draw_mark(const Ink& ink, double x, double y, double size, RepMark mark);

// Height in cm over seconds; without reps the sticker's upright position in px.
void draw_trace(const Ink& ink, const Area& area, const measure::Measurement& measurement,
                const std::vector<HeightSample>& samples);
// A bar a rep.
void draw_bars(const Ink& ink, const Area& area, const raise::RepSet& set, double end_fraction);
// What the marks of both mean, in one line.
void draw_legend(const Ink& ink, double x, double y, const measure::Measurement& measurement);

}  // namespace risetrace::report
