#include <algorithm>
#include <string>

#include "report/paper.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

constexpr double margin_mm = 18.0;
constexpr double gap_mm = 6.0;
constexpr double height_of_a_size_mm = 70.0;

// Two concentric discs and a hair line to cut along.
void draw_sticker(const Ink& ink, double x, double y, double diameter_mm, double ring_mm, bool black_disc) {
  const double radius = diameter_mm / 2;
  ink.fill_disc(x, y, radius, black_disc ? white : black);
  ink.fill_disc(x, y, radius - ring_mm, black_disc ? black : white);
  ink.ring(x, y, radius, hairline_mm, cut_grey);
}

// Returns the y below the rows.
double draw_size(const Ink& ink, const model::Stickers& stickers, double diameter_mm, double top, double width) {
  ink.text(margin_mm, top, fixed(diameter_mm, 0) + " mm", {.size = 3.4, .bold = true, .colour = black});
  const double pitch = diameter_mm + gap_mm;
  const double half = width / 2 - gap_mm / 2;
  const int columns = std::max(1, static_cast<int>((half + gap_mm) / pitch));
  const int rows = static_cast<int>(height_of_a_size_mm / (pitch - gap_mm / 2));
  double y = top + 6.5 + diameter_mm / 2;
  for (int row = 0; row < rows; ++row, y += pitch - gap_mm / 2) {
    for (int column = 0; column < columns; ++column) {
      const double x = margin_mm + diameter_mm / 2 + column * pitch;
      const double ring_mm = diameter_mm * stickers.ring_of_diameter;
      draw_sticker(ink, x, y, diameter_mm, ring_mm, false);
      draw_sticker(ink, x + width / 2 + gap_mm / 2, y, diameter_mm, ring_mm, true);
    }
  }
  return y - diameter_mm / 2 + 1;
}

}  // namespace

Outcome write_stickers_pdf(const std::filesystem::path& file, const model::Stickers& stickers, Paper paper) {
  const PaperSize size = size_of(paper);
  PdfPage page(size.width_mm * pt_from_mm, size.height_mm * pt_from_mm, "Stickers", sheet_date);
  const Ink ink = page.ink();
  cairo_scale(ink.context(), pt_from_mm, pt_from_mm);
  const double width = size.width_mm - 2 * margin_mm;
  const TextStyle body{.size = 3.2, .colour = text_grey, .width = width, .leading = 1.05};
  double y = 12;
  ink.text(margin_mm, y, "Stickers", {.size = 6.4, .bold = true, .colour = black});
  y += 9.6;
  y += ink.text(margin_mm, y,
                "Print at 100 % on matt label paper, or on plain paper with skin-safe double-sided tape. Cut along the "
                "outer edge. Take the largest that lies flat and shows whole through the rise, and the kind that "
                "stands out more: white in black on dark shoes, black in white on pale ones or skin.",
                body)
           .height;
  y += 3;
  for (const model::StickerPlace& place : stickers.places) {
    ink.text(margin_mm, y, place.name, {.size = 3.2, .bold = true, .colour = black});
    TextStyle beside = body;
    beside.width = width - 22;
    y += ink.text(margin_mm + 22, y, place.place, beside).height + 1.2;
  }
  y += 3;
  for (const double diameter_cm : stickers.diameters_cm) y = draw_size(ink, stickers, diameter_cm * 10, y, width) + 3;
  return page.write(file);
}

}  // namespace risetrace::report
