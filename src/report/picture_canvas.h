// A clip's picture, upright and of a handy size, to draw upon, and back to what a video encoder takes.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "base/result.h"
#include "clip/frame.h"
#include "report/clip_writer.h"
#include "report/text.h"

namespace risetrace::report {

class PictureCanvas {
 public:
  // For frames like `first`: the long side becomes at most `most_px` and at least `least_px`, both sides even.
  PictureCanvas(const clip::Frame& first, int least_px, int most_px);
  PictureCanvas(const PictureCanvas&) = delete;
  PictureCanvas& operator=(const PictureCanvas&) = delete;
  ~PictureCanvas();

  // Lays the frame's picture down, over whatever was drawn before. Fault defect where libswscale refuses it.
  Outcome load(const clip::Frame& frame);
  // For drawing upon the picture: unit one canvas pixel, the top left pixel's corner at (0, 0).
  [[nodiscard]] Ink ink() const { return Ink(context_.get()); }
  // The picture as 4:2:0, 8 bits, BT.709, limited range; valid until the next call. Fault defect.
  Result<PictureView> picture();

  [[nodiscard]] int width() const { return width_; }
  [[nodiscard]] int height() const { return height_; }
  // Where a point of the upright picture (its top left pixel's centre at (0, 0)) lies on the canvas.
  [[nodiscard]] Point from_upright(Point px) const;
  [[nodiscard]] double canvas_per_px() const { return scale_x_; }

 private:
  struct Scalers;

  Outcome scale_into(const clip::Frame& frame, std::uint8_t* to, int stride, int width, int height);
  void turn_upright(const clip::Orientation& orientation, int stored_width, int stored_height);

  int width_ = 0;
  int height_ = 0;
  double scale_x_ = 1.0;
  double scale_y_ = 1.0;
  Surface surface_;
  Context context_;
  std::vector<std::uint32_t> stored_;  // the scaled picture before it is turned
  std::vector<std::uint8_t> planes_;   // Y, Cb, Cr
  std::unique_ptr<Scalers> scalers_;
};

}  // namespace risetrace::report
