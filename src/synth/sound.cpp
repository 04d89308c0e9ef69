#include <algorithm>
#include <cmath>
#include <numbers>

#include "synth/clock.h"
#include "synth/hop_plan.h"
#include "synth/random.h"
#include "synth/render.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_sound = 6;
constexpr std::uint64_t purpose_thuds = 9;
constexpr std::uint64_t purpose_voice = 10;
constexpr double pi = std::numbers::pi;
constexpr double rate = sound_rate_hz;
// A click, and the accent on the first of a step: higher and stronger.
constexpr double tone_hz = 1200.0;
constexpr double decay_s = 0.008;
constexpr double click_s = 0.05;
constexpr double accent_hz = 1800.0;
constexpr double accent_gain = 1.5;
// A landing: a low thump and low-passed noise, over in a tenth of a second. By ear, no source.
constexpr double thump_hz = 75.0;
constexpr double thud_decay_s = 0.022;
constexpr double thud_rise_s = 0.002;
constexpr double thud_s = 0.15;
constexpr double thud_pass_hz = 350.0;
// Babble: a hum rich in overtones through two moving resonances, four to five syllables a second. By ear, no source.
constexpr double syllable_s = 0.22;
constexpr double pitch_hz = 130.0;
// The gate: opens at once, closes with a delay.
constexpr double gate_share = 0.0316;  // 30 dB under the loudest
constexpr double gate_hold_s = 0.03;
constexpr double gate_fall_s = 0.02;

using Samples = std::vector<double>;

// Calls at(sample index, seconds since) over `long_s` from an instant of the file's sound; nothing outside it.
template <typename At>
void over(Samples& sound, double from_s, double long_s, const At& at) {
  const auto begin = static_cast<std::size_t>(std::ceil(std::max(0.0, from_s * rate)));
  const std::size_t end = std::min(sound.size(), begin + static_cast<std::size_t>(std::lround(long_s * rate)));
  for (std::size_t i = begin; i < end; ++i) at(sound[i], static_cast<double>(i) / rate - from_s);
}

void add_click(Samples& sound, double at_s, double level, double pitch) {
  over(sound, at_s, click_s, [&](double& sample, double since_s) {
    sample += level * std::exp(-since_s / decay_s) * std::sin(2 * pi * pitch * since_s);
  });
}

void add_steady_beat(Samples& sound, const SoundSpec& spec, double stretch) {
  const double length_s = static_cast<double>(sound.size()) / rate;
  for (int beat = 0;; ++beat) {
    const double at_s = (spec.first_s + spec.offset_s + beat * 60.0 / spec.beat_bpm) * stretch;
    if (at_s >= length_s) break;
    if (at_s >= 0) add_click(sound, at_s, spec.level, tone_hz);
  }
}

void add_thuds(Samples& sound, const Scene& scene, double stretch) {
  const HopPlan plan(scene);
  Random random(mixed_seed(scene.seed, purpose_thuds));
  const double keep = std::exp(-2 * pi * thud_pass_hz / rate);
  for (const Landing& landing : plan.landings()) {
    const double level = scene.sound.thud_level * random.between(0.7, 1.0);
    double low = 0.0;
    over(sound, (landing.touchdown_s + scene.sound.offset_s) * stretch, thud_s, [&](double& sample, double since_s) {
      low = keep * low + (1 - keep) * random.normal();
      const double shape = (1 - std::exp(-since_s / thud_rise_s)) * std::exp(-since_s / thud_decay_s);
      sample += level * shape * (0.6 * std::sin(2 * pi * thump_hz * since_s) + 3.0 * low);
    });
  }
}

// Two-pole resonance of the given frequency and band width.
struct Resonance {
  double one = 0.0;
  double two = 0.0;

  double pass(double in, double hz, double band_hz) {
    const double r = std::exp(-pi * band_hz / rate);
    const double out = (1 - r) * in + 2 * r * std::cos(2 * pi * hz / rate) * one - r * r * two;
    two = one;
    one = out;
    return out;
  }
};

// Syllables with pauses; each has its own pitch and vowel.
void add_voice(Samples& sound, const Scene& scene) {
  Random random(mixed_seed(scene.seed, purpose_voice));
  Samples voice(sound.size(), 0.0);
  Resonance first;
  Resonance second;
  double phase = 0.0;
  double loudest = 1e-9;
  for (std::size_t at = 0; at < voice.size();) {
    const double long_s = syllable_s * random.between(0.6, 1.4);
    const bool silent = random.uniform() < 0.22;
    const double pitch = pitch_hz * random.between(0.85, 1.25);
    const double first_hz = random.between(300, 800);
    const double second_hz = random.between(900, 2300);
    const auto end = std::min(voice.size(), at + static_cast<std::size_t>(long_s * rate));
    for (std::size_t i = at; i < end; ++i) {
      const double share = static_cast<double>(i - at) / (long_s * rate);
      phase += pitch * (1.05 - 0.1 * share) / rate;
      const double hum = silent ? 0.0 : (phase - std::floor(phase) - 0.5) * std::sin(pi * share);
      voice[i] = first.pass(hum, first_hz, 90) + 0.6 * second.pass(hum, second_hz, 140);
      loudest = std::max(loudest, std::abs(voice[i]));
    }
    at = end;
  }
  for (std::size_t i = 0; i < sound.size(); ++i) sound[i] += scene.sound.voice_level * voice[i] / loudest;
}

// What a phone's noise suppression does to a quiet room, roughly.
void gate(Samples& sound) {
  double loudest = 0.0;
  for (const double sample : sound) loudest = std::max(loudest, std::abs(sample));
  double open = 0.0;
  double hold_s = 0.0;
  for (double& sample : sound) {
    if (std::abs(sample) >= gate_share * loudest) hold_s = gate_hold_s;
    open = hold_s > 0 ? 1.0 : open * std::exp(-1.0 / (gate_fall_s * rate));
    hold_s -= 1.0 / rate;
    sample *= open;
  }
}

}  // namespace

std::vector<float> render_sound(const Scene& scene) {
  const SoundSpec& spec = scene.sound;
  if (!spec.on) return {};
  const double stretch = stretch_of(scene);
  const double length_s = (frame_times(scene).back().time_s + 1.0 / scene.camera.fps) * stretch;
  Samples sound(static_cast<std::size_t>(std::ceil(length_s * rate)), 0.0);
  Random random(mixed_seed(scene.seed, purpose_sound));
  for (double& sample : sound) sample = spec.noise * random.normal();
  if (spec.voice_level > 0) add_voice(sound, scene);
  if (spec.clicks && !scene.beat) add_steady_beat(sound, spec, stretch);
  for (const BeatClick& click : spec.clicks ? beat_clicks(scene) : std::vector<BeatClick>{}) {
    const double at_s = (click.time_s + spec.offset_s) * stretch;
    if (at_s < 0) continue;
    add_click(sound, at_s, click.accent ? accent_gain * spec.level : spec.level, click.accent ? accent_hz : tone_hz);
  }
  if (spec.thud_level > 0 && scene.movement.hops) add_thuds(sound, scene, stretch);
  if (spec.gate) gate(sound);
  std::vector<float> out;
  out.reserve(sound.size());
  for (const double sample : sound) out.push_back(static_cast<float>(std::clamp(sample, -1.0, 1.0)));
  return out;
}

}  // namespace risetrace::synth
