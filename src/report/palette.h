// The report's colours: dark enough in grey on white paper. Text 4.5:1 and graphics 3:1 against what they stand on
// (WCAG 2.2, from memory); tests/report/palette_test.cpp works the ratios of the pairs below out.
#pragma once

#include <array>

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

// Left and right of a visit: a shape and a kind of line of their own too.
inline constexpr Colour left_side{0.04, 0.31, 0.56};
inline constexpr Colour right_side{0.68, 0.27, 0.02};
inline constexpr Colour alarm{0.60, 0.07, 0.09};  // referral: letters of paper's colour on it
inline constexpr Colour alarm_fill{0.99, 0.935, 0.93};
inline constexpr Colour band_cautious{0.91, 0.92, 0.935};   // ornament: retest noise about a value, said in words too
inline constexpr Colour band_optimistic{0.81, 0.83, 0.86};  // ornament, as above
inline constexpr Colour idle_limb{0.52, 0.54, 0.57};        // of a drawn figure: the leg that rests

struct Pair {
  Colour front;
  Colour behind;
};

// What text is written in, and upon.
inline constexpr std::array text_pairs = {Pair{ink, paper},
                                          Pair{ink, caution_fill},
                                          Pair{ink, shade},
                                          Pair{ink, alarm_fill},
                                          Pair{soft_ink, paper},
                                          Pair{soft_ink, shade},
                                          Pair{soft_ink, caution_fill},
                                          Pair{low, paper},
                                          Pair{low, caution_fill},
                                          Pair{paper, alarm},
                                          Pair{alarm, paper},
                                          Pair{alarm, alarm_fill},
                                          Pair{left_side, paper},
                                          Pair{right_side, paper},
                                          Pair{ink, band_cautious},
                                          Pair{ink, band_optimistic}};

// What lines and marks are drawn in, and upon.
inline constexpr std::array graphic_pairs = {Pair{trace, paper},
                                             Pair{trace, shade},
                                             Pair{trace, bridge},
                                             Pair{low, paper},
                                             Pair{low, shade},
                                             Pair{low, bridge},
                                             Pair{limit, paper},
                                             Pair{limit, shade},
                                             Pair{limit, bridge},
                                             Pair{left_side, paper},
                                             Pair{left_side, shade},
                                             Pair{right_side, paper},
                                             Pair{right_side, shade},
                                             Pair{ink, band_cautious},
                                             Pair{ink, band_optimistic},
                                             Pair{left_side, band_cautious},
                                             Pair{left_side, band_optimistic},
                                             Pair{right_side, band_cautious},
                                             Pair{right_side, band_optimistic},
                                             Pair{idle_limb, paper},
                                             Pair{alarm, paper},
                                             Pair{alarm, alarm_fill}};

}  // namespace risetrace::report::palette
