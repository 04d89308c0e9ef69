#include "report/report_table.h"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "report/palette.h"
#include "report/plot.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

constexpr std::size_t most_rows = 16;
constexpr std::size_t most_columns = 3;
constexpr double row_height = 9.4;
constexpr double head_height = 13.0;
constexpr double gap = 14.0;

// Reps side by side: two columns as long as they fit, else three in smaller letters.
struct Shape {
  std::size_t columns = 2;
  std::size_t rows = 0;
  std::size_t shown = 0;
};

Shape shape_of(std::size_t reps) {
  Shape shape;
  shape.shown = std::min(reps, most_rows * most_columns);
  shape.columns = shape.shown > 2 * most_rows ? 3 : 2;
  shape.rows = (shape.shown + shape.columns - 1) / shape.columns;
  return shape;
}

struct Layout {
  double size = 7.2;
  std::array<double, 6> right_edges{};  // of the figures, as shares of a column's width; the remarks come after them
  std::array<const char*, 6> heads{};
  bool letters = false;
};

constexpr Layout wide{7.2,
                      {0.08, 0.195, 0.41, 0.515, 0.63, 0.75},
                      {"rep", "start s", "height ± u cm", "% ref.", "floor cm", "period s"},
                      false};
constexpr Layout narrow{
    6.1, {0.10, 0.24, 0.52, 0.62, 0.73, 0.87}, {"rep", "start", "height ± u", "%", "floor", "period"}, true};

std::string remarks(const raise::Rep& rep, const raise::SetEnd& end, bool letters) {
  std::string text;
  const auto add = [&](bool holds, const char* letter, const char* words) {
    if (!holds) return;
    if (!letters && !text.empty()) text += ", ";
    text += letters ? letter : words;
  };
  add(rep.low, "L", "low");
  add(!rep.lowered, "U", "heel up");
  add(rep.on_beat.has_value() && !*rep.on_beat, "B", "off beat");
  add(rep.n > end.after_rep, "E", "after end");
  return text;
}

void draw_row(const Ink& ink, double x, double y, double width, const raise::Rep& rep, const raise::SetEnd& end,
              const Layout& layout) {
  const std::array cells = {std::to_string(rep.n),
                            fixed(rep.start_s, 1),
                            with_u(rep.height_cm, rep.height_cm_u, 2, ""),
                            rep.of_reference ? fixed(*rep.of_reference * 100, 0) : "–",
                            fixed(rep.floor_cm, 1),
                            fixed(rep.period_s, 2)};
  const Colour colour = rep.low ? palette::low : palette::ink;
  draw_mark(ink, x + 2.5, y + layout.size * 0.62, 3.6, mark_of(rep, end));
  for (std::size_t i = 0; i < cells.size(); ++i) {
    ink.text(x + layout.right_edges.at(i) * width, y, cells.at(i),
             {.size = layout.size, .colour = colour, .align = Align::right});
  }
  const double remarks_x = x + (layout.right_edges.back() + 0.02) * width;
  const TextStyle style{.size = layout.size, .colour = colour};
  std::string remark = remarks(rep, end, layout.letters);
  if (remarks_x + ink.measure(remark, style).width > x + width) remark = remarks(rep, end, true);
  ink.text(remarks_x, y, remark, style);
}

void draw_head(const Ink& ink, double x, double y, double width, const Layout& layout) {
  for (std::size_t i = 0; i < layout.heads.size(); ++i) {
    ink.text(x + layout.right_edges.at(i) * width, y, layout.heads.at(i),
             {.size = layout.size - 0.6, .colour = palette::soft_ink, .align = Align::right});
  }
  ink.line(x, y + head_height - 3, x + width, y + head_height - 3, 0.6, palette::soft_ink);
}

}  // namespace

double table_height(std::size_t reps) {
  return head_height + static_cast<double>(shape_of(reps).rows) * row_height +
         (reps > most_rows * most_columns ? 19.0 : 11.0);
}

void draw_table(const Ink& ink, double x, double y, double width, const raise::RepSet& set) {
  const Shape shape = shape_of(set.reps.size());
  const double column_width =
      (width - gap * static_cast<double>(shape.columns - 1)) / static_cast<double>(shape.columns);
  const Layout& layout = shape.columns == 3 ? narrow : wide;
  for (std::size_t i = 0; i < shape.shown; ++i) {
    const std::size_t column = i / shape.rows;
    const double left = x + static_cast<double>(column) * (column_width + gap);
    if (i % shape.rows == 0) draw_head(ink, left, y, column_width, layout);
    const double top = y + head_height + static_cast<double>(i % shape.rows) * row_height;
    draw_row(ink, left, top, column_width, set.reps[i], set.set_end, layout);
  }
  std::string foot = "u: standard uncertainty. Floor: how high the heel still was when the rep began.";
  foot += " L low, U heel up: not lowered before, B off beat, E after the end.";
  if (layout.letters) foot = "s, cm. " + foot;
  if (shape.shown < set.reps.size()) {
    foot += " The first " + std::to_string(shape.shown) + " of " + std::to_string(set.reps.size()) +
            " reps; all are in result.json.";
  }
  ink.text(x, y + head_height + static_cast<double>(shape.rows) * row_height + 1.5, foot,
           {.size = 6.2, .colour = palette::soft_ink, .width = width});
}

}  // namespace risetrace::report
