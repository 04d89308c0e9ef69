// A clip's picture, upright and no wider than a page needs, for a video encoder. Inside of report/.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "base/result.h"
#include "clip/frame.h"
#include "report/clip_writer.h"
#include "report/cut_out.h"

struct SwsContext;

namespace risetrace::report {

class SmallPicture {
 public:
  // For frames like `first`: both sides even.
  SmallPicture(const clip::Frame& first, int widest_px);

  // 4:2:0, 8 bits, limited range; valid until the next call. Fault defect where libswscale refuses it.
  Result<PictureView> of(const clip::Frame& frame);

  [[nodiscard]] int width() const { return width_; }
  [[nodiscard]] int height() const { return height_; }
  [[nodiscard]] double scale() const { return scale_; }  // of a pixel here over one of the clip's

 private:
  struct FreeScaler {
    void operator()(SwsContext* scaler) const;
  };

  int width_ = 0;
  int height_ = 0;
  double scale_ = 1.0;
  std::unique_ptr<SwsContext, FreeScaler> scaler_;
  std::array<std::vector<std::uint8_t>, 3> planes_;  // as stored, not yet upright
  CutOut upright_;
};

}  // namespace risetrace::report
