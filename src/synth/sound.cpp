#include <algorithm>
#include <cmath>
#include <numbers>

#include "synth/clock.h"
#include "synth/random.h"
#include "synth/render.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_sound = 6;
constexpr double tone_hz = 1200.0;
constexpr double decay_s = 0.008;
constexpr double click_s = 0.05;

}  // namespace

std::vector<float> render_sound(const Scene& scene) {
  const SoundSpec& spec = scene.sound;
  if (!spec.on) return {};
  const double stretch = stretch_of(scene);
  const double length_s = (frame_times(scene).back().time_s + 1.0 / scene.camera.fps) * stretch;
  std::vector<double> sound(static_cast<std::size_t>(std::ceil(length_s * sound_rate_hz)), 0.0);
  Random random(mixed_seed(scene.seed, purpose_sound));
  for (double& sample : sound) sample = spec.noise * random.normal();
  for (int beat = 0;; ++beat) {
    const double at_s = (spec.first_s + beat * 60.0 / spec.beat_bpm) * stretch;
    if (at_s >= length_s) break;
    const auto first = static_cast<std::size_t>(std::ceil(at_s * sound_rate_hz));
    const std::size_t last = std::min(sound.size(), first + static_cast<std::size_t>(click_s * sound_rate_hz));
    for (std::size_t i = first; i < last; ++i) {
      const double since_s = static_cast<double>(i) / sound_rate_hz - at_s;
      sound[i] += spec.level * std::exp(-since_s / decay_s) * std::sin(2 * std::numbers::pi * tone_hz * since_s);
    }
  }
  std::vector<float> out;
  out.reserve(sound.size());
  for (const double sample : sound) out.push_back(static_cast<float>(std::clamp(sample, -1.0, 1.0)));
  return out;
}

}  // namespace risetrace::synth
