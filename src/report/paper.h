// What the printed sheets share: sizes in mm, greys, the day of their design.
#pragma once

#include "report/pdf_page.h"
#include "report/print_card.h"

namespace risetrace::report {

struct PaperSize {
  double width_mm = 0.0;
  double height_mm = 0.0;
};

inline PaperSize size_of(Paper paper) { return paper == Paper::a4 ? PaperSize{210.0, 297.0} : PaperSize{215.9, 279.4}; }

// The sheets are the same whenever they are made, so their date is that of their design.
inline constexpr const char* sheet_date = "2026-01-01";

inline constexpr Colour black{0, 0, 0};
inline constexpr Colour white{1, 1, 1};
inline constexpr Colour cut_grey{0.45, 0.45, 0.45};
inline constexpr Colour text_grey{0.2, 0.2, 0.2};
inline constexpr double hairline_mm = 0.1;

}  // namespace risetrace::report
