// An upright piece of a frame in its own pixels, colour kept, for a video encoder. Inside of report/.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "clip/frame.h"
#include "report/clip_writer.h"

namespace risetrace::report {

class CutOut {
 public:
  CutOut(int width_px, int height_px) : width_px_(width_px), height_px_(height_px) {}

  // Sizes and corner even, the piece wholly inside the picture. In 8 bits; valid until the next call.
  PictureView of(const clip::Frame& frame, int x0, int y0);

 private:
  int width_px_;
  int height_px_;
  std::vector<std::uint8_t> luma_;
  std::array<std::vector<std::uint8_t>, 2> chroma_;
};

}  // namespace risetrace::report
