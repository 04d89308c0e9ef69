// What the overlays of all tests share: their colours, and lines and boxes that can be seen upon any picture.
#pragma once

#include "base/geometry.h"
#include "report/text.h"

namespace risetrace::report::overlay_look {

// Bright upon dark, since the picture behind may be anything; each line has a dark edge.
inline constexpr Colour bright{1, 1, 1};
inline constexpr Colour mark{0.45, 0.90, 1.0};
inline constexpr Colour low{1.0, 0.66, 0.30};
inline constexpr Colour panel{0.04, 0.06, 0.08, 0.72};
inline constexpr Colour edge{0, 0, 0, 0.65};
inline constexpr Colour faint{1, 1, 1, 0.6};

void edged_line(const Ink& ink, Point from, Point to, double width, const Colour& colour);
void rounded_box(const Ink& ink, double x, double y, double width, double height, double radius, const Colour& colour);

}  // namespace risetrace::report::overlay_look
