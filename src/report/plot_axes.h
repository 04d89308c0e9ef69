// Axes of the report's plots, in pt.
#pragma once

#include <string>
#include <vector>

#include "report/text.h"

namespace risetrace::report {

struct Area {
  double x = 0.0;
  double y = 0.0;
  double width = 0.0;
  double height = 0.0;
};

// A round step (1, 2 or 5 times a power of ten) that cuts `range` into at most `most` parts.
double tick_step(double range, int most);

namespace plot_detail {

inline constexpr double left_margin = 24.0;
inline constexpr double right_margin = 62.0;
inline constexpr double bottom_margin = 20.0;
inline constexpr double small = 6.5;

// Data to page.
struct Axes {
  Area inner;
  double x_from = 0.0;
  double x_to = 1.0;
  double y_to = 1.0;  // y starts at y_from
  double y_from = 0.0;
  std::string decimal_mark = ".";

  [[nodiscard]] double x(double value) const { return inner.x + inner.width * (value - x_from) / (x_to - x_from); }
  [[nodiscard]] double y(double value) const {
    return inner.y + inner.height * (1 - (value - y_from) / (y_to - y_from));
  }
};

int decimals_for(double step);
std::vector<double> ticks_between(double from, double to, double step);
Area inner_of(const Area& area);
// With lines across, and the title above. At most `most` steps.
void draw_y_axis(const Ink& ink, const Axes& axes, const std::string& title, int most = 6);
void draw_x_line(const Ink& ink, const Axes& axes, const std::string& title);
void draw_time_ticks(const Ink& ink, const Axes& axes);

}  // namespace plot_detail
}  // namespace risetrace::report
