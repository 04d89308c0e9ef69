// What is drawn upon one picture of a hop clip's overlay.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "measure/measurement.h"
#include "report/hop_samples.h"
#include "report/picture_canvas.h"
#include "report/text.h"

namespace risetrace::report {

class HopOverlay {
 public:
  // The overlay plays so many times slower than it was filmed: a contact of a quarter second lasts a second, and each
  // frame of a 240 Hz clip is shown.
  static constexpr double slowed_by = 4.0;

  // Keeps references to both; `canvas` gives size and scale only.
  HopOverlay(const measure::Measurement& measurement, const PictureCanvas& canvas);

  // Frames in any order.
  void draw(const Ink& ink, std::int64_t frame, double time_s);

 private:
  void draw_sticker(const Ink& ink, std::size_t at, bool forefoot) const;
  void draw_ground(const Ink& ink, const HopSample& sample) const;
  void draw_panel(const Ink& ink, double time_s, Ground ground) const;
  void draw_clock(const Ink& ink, std::int64_t frame, double time_s) const;
  void draw_strip(const Ink& ink, double time_s);
  void draw_page();
  void draw_page_trace(const Ink& ink) const;
  void draw_page_hops(const Ink& ink) const;
  void draw_page_beats(const Ink& ink) const;
  [[nodiscard]] double page_x(double time_s) const;
  [[nodiscard]] double floor_on_canvas() const;
  [[nodiscard]] const hop::Hop* hop_at(double time_s) const;  // the last that has touched down

  const measure::Measurement& m_;
  const PictureCanvas& canvas_;
  std::vector<HopSample> samples_;
  HopTrace trace_;
  double unit_;  // a hundredth of the picture's short side, for sizes of letters and lines
  double floor_y_;
  double sound_offset_s_ = 0.0;  // taken from the time of all that was heard, where it is known
  double strip_top_ = 0.0;       // along the bottom, or along the top where it would hide the shoe
  double panel_top_ = 0.0;
  double page_s_ = 1.0;  // the strip shows so many seconds at a time
  std::optional<int> page_;
  Surface strip_;
};

}  // namespace risetrace::report
