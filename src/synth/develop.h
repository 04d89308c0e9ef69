// Linear light to the luma and colour difference planes a camera stores.
#pragma once

#include <cstdint>
#include <vector>

#include "synth/painter.h"
#include "synth/raster.h"

namespace risetrace::synth {

// Samples in 64ths of an 8-bit grey level, so that noise is added before anything is rounded.
struct FixedPlane {
  int width = 0;
  int height = 0;
  std::vector<std::int16_t> samples;

  std::int16_t* row(int y) { return samples.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(width); }
  [[nodiscard]] const std::int16_t* row(int y) const {
    return samples.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(width);
  }
};

// 4:2:0, the colour sample in the middle of its four pixels, ITU-R BT.709 matrix.
struct FixedPicture {
  FixedPlane luma;
  FixedPlane cb;
  FixedPlane cr;
};

class Developer {
 public:
  // Even width and height.
  Developer(const Scene& scene, int width, int height);

  // The lens blur from now on, standard deviation.
  void blur(double sd_px);

  // Blurs and converts what lies in `spans` grown by the blur's reach; the rest of `into` is left alone. `spans` comes
  // back grown to whole colour samples. The light picture is not changed.
  void develop(const LightPicture& light, RowSpans& spans, FixedPicture& into);
  [[nodiscard]] FixedPicture blank() const;

 private:
  [[nodiscard]] RowSpans grown(const RowSpans& spans, int by) const;
  void blur_rows(const LightPicture& light, const RowSpans& wanted);
  void blur_columns(const RowSpans& wanted);
  void tone_row(int y, RowSpan span);
  void store_luma(int y, RowSpan span, FixedPicture& into) const;
  void store_colour(int y, RowSpan span, FixedPicture& into) const;

  int width_;
  int height_;
  bool full_range_;
  std::vector<float> kernel_;  // from its middle outwards
  std::vector<float> tone_of_root_;
  LightPicture half_blurred_;
  LightPicture blurred_;  // and then toned
};

}  // namespace risetrace::synth
