// The leg's lines upon a picture: from sticker to sticker, and the vertical that the shank is told from.
#pragma once

#include <cstdint>
#include <optional>

#include "measure/measurement.h"
#include "report/text.h"

namespace risetrace::report {

struct LegMarks {
  Point ankle;
  Point knee;
  std::optional<Point> hip;
  std::optional<Point> above;  // straight above the ankle, about as far as the knee is
};

// In upright pixels of this frame; empty where a sticker was not seen, or the frame was left out. `above` for lunges.
std::optional<LegMarks> leg_marks(const measure::Measurement& m, std::int64_t frame);
// Takes each point to where it is drawn.
template <typename Map>
LegMarks placed_marks(const LegMarks& marks, const Map& map) {
  LegMarks out{map(marks.ankle), map(marks.knee), {}, {}};
  if (marks.hip) out.hip = map(*marks.hip);
  if (marks.above) out.above = map(*marks.above);
  return out;
}
// `unit`: a hundredth of the picture's short side as drawn.
void draw_leg_marks(const Ink& ink, const LegMarks& marks, double unit);

}  // namespace risetrace::report
