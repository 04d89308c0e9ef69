#include "synth/check_scene.h"

#include <cstdio>

#include "synth/leg.h"
#include "synth/movement.h"

namespace risetrace::synth {
namespace {

std::string with_number(const char* form, double value) {
  std::array<char, 160> text{};
  std::snprintf(text.data(), text.size(), form, value);
  return text.data();
}

std::optional<std::string> conflict_in_camera(const Scene& scene) {
  const Camera& camera = scene.camera;
  if (camera.width_px % 2 != 0) return "camera.width_px must be even";
  if (camera.height_px % 2 != 0) return "camera.height_px must be even";
  if (camera.exposure_s > 1.0 / camera.fps)
    return with_number("camera.exposure_s must be at most 1 / fps, %g", 1 / camera.fps);
  if (camera.time_jitter_s > 0.2 / camera.fps) {
    return with_number("camera.time_jitter_s must be at most 0.2 / fps, %g", 0.2 / camera.fps);
  }
  if (scene.file.capture_tag && !scene.file.stored_rate_hz) return "file.capture_tag needs file.stored_rate_hz";
  return std::nullopt;
}

std::optional<std::string> conflict_in_movement(const Scene& scene) {
  const std::vector<RepSpec> reps = planned_reps(scene);
  const double greatest_cm = greatest_height_cm(scene);
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const std::string name = "movement.reps[" + std::to_string(i) + "]";
    if (i == 0 && reps[i].floor_cm > 0) return name + ".floor_cm must be 0: the clip starts standing";
    if (reps[i].height_cm <= reps[i].floor_cm) return name + ".height_cm must exceed its floor_cm";
    if (i > 0 && reps[i - 1].height_cm <= reps[i].floor_cm) return name + ".floor_cm must be under the rep before";
    if (reps[i].height_cm > greatest_cm) {
      return name + with_number(".height_cm is more than this foot can rise, %.1f", greatest_cm);
    }
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> conflict_in(const Scene& scene) {
  if (auto camera = conflict_in_camera(scene)) return camera;
  const double forward_cm = scene.stickers.heel.forward_cm;
  if (forward_cm > bend_start_cm(scene.leg)) {
    return with_number("stickers.heel.forward_cm must lie behind where the shoe bends, %.1f", bend_start_cm(scene.leg));
  }
  return conflict_in_movement(scene);
}

}  // namespace risetrace::synth
