#include "synth/clock.h"

#include <algorithm>
#include <cmath>

#include "synth/motion.h"
#include "synth/random.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_clock = 5;

bool holds(const std::vector<int>& list, int number) {
  return std::find(list.begin(), list.end(), number) != list.end();
}

}  // namespace

std::vector<FrameTime> frame_times(const Scene& scene) {
  const Camera& camera = scene.camera;
  const double length_s = scene.duration_s.value_or(movement_length_s(scene));
  const int count = std::max(1, static_cast<int>(std::floor(length_s * camera.fps + 1e-6)));
  Random random(mixed_seed(scene.seed, purpose_clock));
  std::vector<FrameTime> out;
  for (int number = 0; number < count; ++number) {
    // Held to 0.4 of a frame, so that frames stay in order.
    const double jitter = std::clamp(camera.time_jitter_s * random.normal(), -0.4 / camera.fps, 0.4 / camera.fps);
    FrameTime frame;
    frame.number = number;
    frame.time_s = number == 0 ? 0.0 : number / camera.fps + jitter;
    frame.shows_s = frame.time_s;
    if (holds(camera.drop_frames, number)) continue;
    if (holds(camera.repeat_frames, number)) {
      frame.repeated = true;
      frame.shows_s = out.back().shows_s;
    }
    out.push_back(frame);
  }
  return out;
}

double stretch_of(const Scene& scene) {
  return scene.file.stored_rate_hz ? scene.camera.fps / *scene.file.stored_rate_hz : 1.0;
}

}  // namespace risetrace::synth
