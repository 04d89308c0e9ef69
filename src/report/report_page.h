// What the report pages of all tests share: the sheet's measures in pt, its head, cautions, figures, rows and notes.
#pragma once

#include <string>
#include <vector>

#include "base/note.h"
#include "measure/measurement.h"
#include "report/text.h"

namespace risetrace::report {

namespace report_page {

inline constexpr double page_width = 595.276;  // A4
inline constexpr double page_height = 841.890;
inline constexpr double left = 40.0;
inline constexpr double width = page_width - 2 * left;
inline constexpr double bottom = page_height - 38.0;

}  // namespace report_page

// A name and what is said under it.
struct Row {
  std::string name;
  std::string text;
};

// One large figure with its name above and what qualifies it below.
struct Tile {
  std::string name;
  std::string figure;
  std::string unit;
  std::string below;
};

// Each takes the upper edge and returns where the next thing may begin.
double draw_header(const Ink& ink, const std::string& title, const measure::Measurement& m, const std::string& version,
                   const std::string& date);
double draw_caution(const Ink& ink, double y);
double draw_tiles(const Ink& ink, double y, const std::vector<Tile>& tiles, double figure_size = 19.0);
double draw_rows(const Ink& ink, double x, double y, double row_width, const std::vector<Row>& rows);
void draw_heading(const Ink& ink, double x, double y, const std::string& text);
// As many notes as fit above `lowest`; the last line says how many were left out.
void draw_notes(const Ink& ink, double y, double lowest, const Notes& notes);
void draw_foot(const Ink& ink, const std::string& text);

// Scale, sticker and clip, as the rows under "How it was measured".
std::vector<Row> how_measured(const measure::Measurement& m);

}  // namespace risetrace::report
