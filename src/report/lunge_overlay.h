// What is drawn upon one picture of a lunge clip's overlay.
#pragma once

#include <cstdint>

#include "measure/measurement.h"
#include "report/picture_canvas.h"
#include "report/text.h"

namespace risetrace::report {

class LungeOverlay {
 public:
  // Keeps references to both; `canvas` gives size and scale only.
  LungeOverlay(const measure::Measurement& measurement, const PictureCanvas& canvas)
      : m_(measurement), canvas_(canvas) {}

  // Frames in any order.
  void draw(const Ink& ink, std::int64_t frame, double time_s) const;

 private:
  void draw_panel(const Ink& ink, std::int64_t frame, double time_s, double unit) const;

  const measure::Measurement& m_;
  const PictureCanvas& canvas_;
};

}  // namespace risetrace::report
