// The report's colours: dark enough in grey on white paper. Text 4.5:1 and graphics 3:1 against what they stand on
// (WCAG 2.2, from memory); tests/report/report_pdf_test.cpp works the ratios out.
#pragma once

#include "report/text.h"

namespace risetrace::report::palette {

inline constexpr Colour paper{1, 1, 1};
inline constexpr Colour ink{0.09, 0.10, 0.12};
inline constexpr Colour soft_ink{0.30, 0.32, 0.35};  // second-rank text
inline constexpr Colour trace{0.10, 0.32, 0.42};     // the height, and what counted
inline constexpr Colour low{0.66, 0.24, 0.04};       // a low rep; always with a shape of its own too
inline constexpr Colour limit{0.42, 0.42, 0.44};     // the line under which a rep is low
inline constexpr Colour caution_fill{0.945, 0.94, 0.93};
inline constexpr Colour shade{0.93, 0.935, 0.94};  // after the set's end; behind the trace
inline constexpr Colour bridge{0.80, 0.81, 0.83};  // behind bridged stretches, whose line is dotted as well
inline constexpr Colour rule{0.78, 0.79, 0.80};    // ornament only: tells nothing

}  // namespace risetrace::report::palette
