// Outlines of the scene to light in a picture.
#pragma once

#include <functional>
#include <vector>

#include "synth/paint.h"
#include "synth/raster.h"
#include "synth/view.h"

namespace risetrace::synth {

// Display value to linear light and back, as the scene's camera does it.
class Tone {
 public:
  explicit Tone(const Camera& camera) : gamma_(camera.gamma) {}
  [[nodiscard]] float light(double display) const;
  [[nodiscard]] float display(float light) const;
  [[nodiscard]] bool gamma() const { return gamma_; }

 private:
  bool gamma_;
};

class Painter {
 public:
  // The view must outlive the painter.
  Painter(const Scene& scene, const View& view);

  // From a point of an outline's own frame to the scene, at a time.
  using Placing = std::function<Spot(Point, double)>;

  // `time_s` is the middle row's instant; each point is caught when its own row is exposed. Outlines are one shape.
  // Nothing is drawn where a point lies behind the camera.
  void draw(const std::vector<std::vector<Point>>& outlines, const Fill& fill, const Placing& placing, double time_s,
            LightPicture& into, RowSpans* touched);

  [[nodiscard]] const Tone& tone() const { return tone_; }
  [[nodiscard]] const View& view() const { return view_; }
  [[nodiscard]] double light_level() const { return light_level_; }

 private:
  [[nodiscard]] PixelFill pixel_fill(const Fill& fill, const Placing& placing, double time_s) const;
  [[nodiscard]] LinearRgb light_of(Colour colour) const;

  const View& view_;
  Tone tone_;
  double light_level_;
  Filler filler_;
};

}  // namespace risetrace::synth
