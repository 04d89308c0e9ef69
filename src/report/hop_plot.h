// The plots of a report page on hops, in pt.
#pragma once

#include "measure/measurement.h"
#include "report/plot_axes.h"
#include "report/text.h"

namespace risetrace::report {

// How a hop is drawn everywhere: counted filled, not counted hollow, a doubtful contact in a form of its own.
enum class HopMark { counted, not_counted, doubtful };
HopMark mark_of(const hop::Hop& hop, const hop::Contacts& contacts);
void draw_hop_mark(const Ink& ink, double x, double y, double size, HopMark mark);

// The trace over time, in as many rows below each other as keep the hops apart, each with the contacts as bars and the
// beats that were heard as ticks.
void draw_hop_trace(const Ink& ink, const Area& area, const measure::Measurement& m);
int hop_trace_rows(const measure::Measurement& m);

// Time on the ground hop by hop.
void draw_contact_chart(const Ink& ink, const Area& area, const measure::Measurement& m);

// What marks, bars and ticks mean, in one line.
void draw_hop_legend(const Ink& ink, double x, double y, const measure::Measurement& m);

}  // namespace risetrace::report
