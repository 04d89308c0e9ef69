// A rendered set as a camera would hand it out, small and quick.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "measure/live_measure.h"
#include "model/read_models.h"
#include "place.h"
#include "synth/render.h"

namespace risetrace::measure::test {

inline synth::Scene small_set(const std::vector<double>& heights_cm, double tail_s) {
  synth::Scene scene;
  scene.camera.width_px = 480;
  scene.camera.height_px = 270;
  scene.camera.px_per_cm = 5.4;
  scene.camera.height_cm = 22;
  scene.camera.fps = 30;
  scene.camera.exposure_s = 0.006;
  scene.camera.noise_grey = 0.4;
  scene.file.full_range = true;
  scene.movement.lead_in_s = 1.2;
  scene.movement.tail_s = tail_s;
  scene.movement.reps.clear();
  for (const double height_cm : heights_cm) {
    scene.movement.reps.push_back({.height_cm = height_cm, .up_s = 0.8, .down_s = 0.8});
  }
  return scene;
}

inline std::vector<clip::Frame> filmed(const synth::Scene& scene, const model::Cards& cards) {
  synth::Renderer renderer(scene, cards);
  std::vector<clip::Frame> frames;
  while (const auto rendered = renderer.next()) {
    const synth::StoredPlane& luma = rendered->planes[0];
    auto owned = std::make_shared<std::vector<std::uint8_t>>(luma.bytes);
    clip::Frame frame;
    frame.number = rendered->index;
    frame.time_s = rendered->time_s;
    frame.width_px = luma.width;
    frame.height_px = luma.height;
    frame.luma = {owned->data(), luma.width, luma.width, luma.height};
    frame.full_range = true;
    frame.owner = owned;
    frames.push_back(frame);
  }
  return frames;
}

}  // namespace risetrace::measure::test
