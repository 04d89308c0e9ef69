// Outlines made from few points.
#pragma once

#include <vector>

#include "base/geometry.h"

namespace risetrace::synth {

// A closed smooth curve through the points (centripetal Catmull-Rom: Yuksel et al. 2011, CAD 43:747, from memory),
// `pieces` chords between two of them.
std::vector<Point> smooth_closed(const std::vector<Point>& through, int pieces);
// The same, open: from the first point to the last.
std::vector<Point> smooth_open(const std::vector<Point>& through, int pieces);
// Corners of the convex hull (Andrew 1979, Inf Process Lett 9:216, from memory).
std::vector<Point> hull(std::vector<Point> points);
std::vector<Point> circle(Point centre, double radius, int corners);
std::vector<Point> rectangle(Point low, Point high);
// No side longer than `step`: a straight side may show bent through a lens.
std::vector<Point> with_short_sides(const std::vector<Point>& closed, double step);

}  // namespace risetrace::synth
