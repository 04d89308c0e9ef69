#include "report/overlay_look.h"

namespace risetrace::report::overlay_look {

void edged_line(const Ink& ink, Point from, Point to, double width, const Colour& colour) {
  ink.line(from.x, from.y, to.x, to.y, width * 2.2, edge);
  ink.line(from.x, from.y, to.x, to.y, width, colour);
}

void rounded_box(const Ink& ink, double x, double y, double width, double height, double radius, const Colour& colour) {
  cairo_t* cr = ink.context();
  constexpr double quarter = 1.5707963267948966;
  cairo_new_path(cr);
  cairo_arc(cr, x + width - radius, y + radius, radius, -quarter, 0);
  cairo_arc(cr, x + width - radius, y + height - radius, radius, 0, quarter);
  cairo_arc(cr, x + radius, y + height - radius, radius, quarter, 2 * quarter);
  cairo_arc(cr, x + radius, y + radius, radius, 2 * quarter, 3 * quarter);
  cairo_close_path(cr);
  ink.use(colour);
  cairo_fill(cr);
}

}  // namespace risetrace::report::overlay_look
