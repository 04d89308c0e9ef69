// What is drawn upon one picture of the overlay.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "measure/measurement.h"
#include "report/heights.h"
#include "report/picture_canvas.h"
#include "report/text.h"

namespace risetrace::report {

class OverlayDrawing {
 public:
  // Keeps references to both; `canvas` gives size and scale only.
  OverlayDrawing(const measure::Measurement& measurement, const PictureCanvas& canvas);

  // Frames in any order.
  void draw(const Ink& ink, std::int64_t frame, double time_s) const;

 private:
  void draw_trail(const Ink& ink, std::size_t at) const;
  void draw_ring(const Ink& ink, const HeightSample& sample) const;
  void draw_ruler(const Ink& ink, const HeightSample& sample) const;
  void draw_ticks(const Ink& ink, std::int64_t frame, int top_cm) const;
  void draw_panel(const Ink& ink, double time_s, const HeightSample* sample) const;
  void draw_banner(const Ink& ink, double time_s) const;
  void draw_strip(const Ink& ink, double time_s) const;
  void prepare_ruler();
  void prepare_strip();
  // In the frame, which shows it where the camera then saw it.
  [[nodiscard]] Point on_ruler(std::int64_t frame, double height_cm) const;
  [[nodiscard]] Point seen_in(std::int64_t frame, Point ref_px) const;
  [[nodiscard]] const raise::Rep* rep_at(double time_s) const;

  const measure::Measurement& m_;
  const PictureCanvas& canvas_;
  std::vector<HeightSample> samples_;
  double unit_;       // a hundredth of the picture's short side, for sizes of letters and lines
  double strip_top_;  // the strip along the bottom
  std::optional<math::Homography> px_from_cm_;
  double ruler_across_cm_ = 0.0;
  double ruler_side_ = 1.0;  // +1: its numbers stand right of it
  double greatest_cm_ = 0.0;
  Surface strip_;
};

}  // namespace risetrace::report
