// An upright square of a frame in its own pixels, colour kept, for a video encoder. Inside of report/.
#pragma once

#include <cstdint>
#include <vector>

#include "clip/frame.h"
#include "report/clip_writer.h"

namespace risetrace::report {

class CutOut {
 public:
  explicit CutOut(int size_px) : size_px_(size_px) {}

  // The corner even, the square wholly inside the picture. In 8 bits; valid until the next call.
  PictureView of(const clip::Frame& frame, int x0, int y0);

 private:
  void copy(const clip::Plane& plane, const clip::Frame& frame, int x0, int y0, int size,
            std::vector<std::uint8_t>& to) const;

  int size_px_;
  std::vector<std::uint8_t> luma_;
  std::vector<std::uint8_t> chroma_[2];
};

}  // namespace risetrace::report
