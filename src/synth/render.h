// A scene to frames.
//
// Light is summed linearly: outlines are filled with exact area coverage through the camera's own perspective, the
// moving parts at enough instants of the exposure that they shift by at most half a pixel between two, then
// the lens blur, the display's power law (if on), flicker, noise and rounding. The same scene gives the same bytes.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "model/card.h"
#include "synth/rendered_frame.h"
#include "synth/scene.h"

namespace risetrace::synth {

class Renderer {
 public:
  // The scene must have passed read_scene() or conflict_in().
  Renderer(const Scene& scene, const model::Cards& cards);
  Renderer(const Renderer&) = delete;
  Renderer& operator=(const Renderer&) = delete;
  Renderer(Renderer&&) noexcept;
  Renderer& operator=(Renderer&&) noexcept;
  ~Renderer();

  [[nodiscard]] int frame_count() const;
  [[nodiscard]] int stored_width() const;
  [[nodiscard]] int stored_height() const;
  // Empty after the last one.
  std::optional<RenderedFrame> next();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

constexpr int sound_rate_hz = 48000;
// Mono, -1 .. 1, as long as the clip's file; empty where the scene has no sound. A beat is a short decaying tone.
std::vector<float> render_sound(const Scene& scene);

}  // namespace risetrace::synth
