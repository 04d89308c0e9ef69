// Straight edges between dark and light, measured to a fraction of a pixel.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "base/geometry.h"
#include "clip/frame.h"

namespace risetrace::scale {

struct EdgeOptions {
  double reach_px = 4.0;         // looked at to either side of where the edge should be
  double skip_share = 0.12;      // of the edge's length left out at each end, where corners round it off
  double least_contrast = 25.0;  // grey levels across the edge
};

// Upright pixels of the whole picture; unit normal (nx, ny), every point p of the line has nx p.x + ny p.y = offset.
struct Line {
  double nx = 0.0;
  double ny = 0.0;
  double offset = 0.0;
  double rms_px = 0.0;    // of the edge's points about the line
  double contrast = 0.0;  // grey on the side the normal points to, minus the other
};

// The edge that runs from about `a` to about `b`; the normal points to the left of a->b as seen (y down): out of a quad
// whose corners go top left, top right, bottom right, bottom left. Empty: too little contrast, or less than 60 % of the
// points agree on a line.
std::optional<Line> measure_edge(const clip::Patch& patch, Point a, Point b, const EdgeOptions& options);

std::optional<Point> crossing(const Line& a, const Line& b);

// The four corners of a quad from its four edges, in the order given; two rounds, each from where the last one ended.
// `rms_px` gets the root mean square of all edge points about their lines.
std::optional<std::array<Point, 4>> measure_quad(const clip::Patch& patch, std::array<Point, 4> about,
                                                 const EdgeOptions& options, double* rms_px);

// The box that holds the quad and `margin_px` around it.
Box box_around(const std::array<Point, 4>& quad, double margin_px);

}  // namespace risetrace::scale
