// How high the heel is when the person just stands.
#pragma once

#include <optional>

#include "raise/rise_shape.h"

namespace risetrace::raise {

// The median height of the still time before the first rise, which was recognised at index `risen`. Still: moving by no
// more than a fifth of the least rise in 0.3 s, and within one least rise of the lowest place, so that a heel held up
// when the clip begins is not taken for standing. Only the last 5 s count: a shift of weight before them is history.
// Empty where there was no such time.
std::optional<double> standing_from_stillness(const Heights& heights, std::size_t risen, double least_rise_cm);

}  // namespace risetrace::raise
