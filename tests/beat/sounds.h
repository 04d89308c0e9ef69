// Sounds whose truth is known: clicks of other makes than our own track, and what stands in their way. Plain numbers
// from a seed; all levels are of full scale.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <vector>

#include "beat/hear_beat.h"
#include "beat/make_click_track.h"

namespace risetrace::test {

constexpr double sound_rate_hz = 48000.0;
using Sound = std::vector<float>;

inline Sound silence(double length_s) { return Sound(static_cast<std::size_t>(length_s * sound_rate_hz), 0.0F); }

inline Sound as_sound(const beat::ClickTrack& track) {
  Sound sound;
  sound.reserve(track.samples.size());
  for (const std::int16_t sample : track.samples) sound.push_back(static_cast<float>(sample) / 32768.0F);
  return sound;
}

inline std::vector<double> times_of(const beat::ClickTrack& track) {
  std::vector<double> times_s;
  times_s.reserve(track.beats.size());
  for (const auto& each : track.beats) times_s.push_back(static_cast<double>(each.sample) / track.rate_hz);
  return times_s;
}

// Adds a struck sound at a time between samples. attack_s 0: it begins with its full slope.
struct Strike {
  double tone_hz = 1800.0;
  double decay_s = 0.008;
  double attack_s = 0.0;
  double level = 0.5;
};

inline void strike(Sound& sound, double at_s, const Strike& how) {
  const auto first = static_cast<long>(std::ceil(at_s * sound_rate_hz));
  const auto last =
      std::min(static_cast<long>(sound.size()), first + static_cast<long>(8 * how.decay_s * sound_rate_hz));
  for (long i = std::max(0L, first); i < last; ++i) {
    const double since_s = static_cast<double>(i) / sound_rate_hz - at_s;
    const double rise = how.attack_s > 0 ? std::min(1.0, since_s / how.attack_s) : 1.0;
    sound[static_cast<std::size_t>(i)] += static_cast<float>(how.level * rise * std::exp(-since_s / how.decay_s) *
                                                             std::sin(2 * std::numbers::pi * how.tone_hz * since_s));
  }
}

inline std::vector<double> even_times(double first_s, double bpm, int count) {
  std::vector<double> times_s;
  times_s.reserve(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) times_s.push_back(first_s + i * 60.0 / bpm);
  return times_s;
}

inline double mean_square(const Sound& sound) {
  double sum = 0;
  for (const float sample : sound) sum += double(sample) * sample;
  return sum / static_cast<double>(std::max<std::size_t>(1, sound.size()));
}

// Power of a click: mean square of its first 10 ms, over all clicks.
inline double click_power(const Sound& sound, const std::vector<double>& times_s) {
  double sum = 0;
  long count = 0;
  for (const double at_s : times_s) {
    const auto first = static_cast<std::size_t>(at_s * sound_rate_hz);
    for (std::size_t i = first; i < std::min(sound.size(), first + 480); ++i, ++count)
      sum += double(sound[i]) * sound[i];
  }
  return sum / static_cast<double>(std::max(1L, count));
}

inline void scale_to(Sound& sound, double wanted_mean_square) {
  const auto gain = static_cast<float>(std::sqrt(wanted_mean_square / std::max(1e-30, mean_square(sound))));
  for (float& sample : sound) sample *= gain;
}

inline void add(Sound& to, const Sound& other) {
  for (std::size_t i = 0; i < std::min(to.size(), other.size()); ++i) to[i] += other[i];
}

inline Sound white(double length_s, unsigned seed) {
  Sound sound = silence(length_s);
  std::mt19937 engine(seed);
  std::normal_distribution<float> normal(0.0F, 0.1F);
  for (float& sample : sound) sample = normal(engine);
  return sound;
}

// Half the power for each doubling of frequency: white noise through three leaks of different length (the sum of
// first-order low-passes an octave and a half apart follows 1/f within a decibel from 30 Hz to 12 kHz; derived here).
inline Sound pink(double length_s, unsigned seed) {
  Sound sound = white(length_s, seed);
  std::array<double, 9> state{};
  for (float& sample : sound) {
    double sum = 0;
    for (std::size_t i = 0; i < state.size(); ++i) {
      const double corner_hz = 20.0 * std::pow(2.6, static_cast<double>(i));
      const double leak = 1.0 - std::exp(-2 * std::numbers::pi * corner_hz / sound_rate_hz);
      state[i] += leak * (sample - state[i]);
      sum += state[i] / std::sqrt(corner_hz);
    }
    sample = static_cast<float>(sum);
  }
  return sound;
}

// Several voices at once: syllables of 80 to 300 ms, three or four a second, each a buzz of 90 to 260 Hz through three
// moving formants, or a hiss, with attacks of 5 to 40 ms and some plosives of 3 ms.
inline Sound babble(double length_s, unsigned seed, int voices = 3) {
  Sound sound = silence(length_s);
  std::mt19937 engine(seed);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  std::normal_distribution<double> normal(0.0, 1.0);
  for (int voice = 0; voice < voices; ++voice) {
    const double pitch_hz = 90.0 + 170.0 * uniform(engine);
    double at_s = uniform(engine) * 0.3;
    while (at_s < length_s) {
      const double syllable_s = 0.08 + 0.22 * uniform(engine);
      const bool hiss = uniform(engine) < 0.25;
      const bool plosive = uniform(engine) < 0.3;
      const double attack_s = plosive ? 0.003 : 0.005 + 0.035 * uniform(engine);
      std::array<double, 3> formant_hz = {300 + 500 * uniform(engine), 900 + 1300 * uniform(engine),
                                          2300 + 900 * uniform(engine)};
      std::array<std::array<double, 2>, 3> state{};
      double phase = 0;
      const double glide = 0.9 + 0.2 * uniform(engine);
      const auto first = static_cast<long>(at_s * sound_rate_hz);
      const auto count = static_cast<long>(syllable_s * sound_rate_hz);
      for (long i = 0; i < count && first + i < static_cast<long>(sound.size()); ++i) {
        const double part = static_cast<double>(i) / static_cast<double>(count);
        const double since_s = static_cast<double>(i) / sound_rate_hz;
        phase += pitch_hz * (1.0 + (glide - 1.0) * part) / sound_rate_hz;
        double source = 0.0;
        if (phase >= 1.0) {
          phase -= 1.0;
          source = 1.0;
        }
        source += (hiss ? 0.2 : 0.01) * normal(engine);
        double out = 0;
        for (std::size_t f = 0; f < 3; ++f) {
          const double centre_hz = hiss ? 2.2 * formant_hz[f] : formant_hz[f];
          const double radius = std::exp(-std::numbers::pi * 100.0 * static_cast<double>(f + 1) / sound_rate_hz);
          const double next = source +
                              2 * radius * std::cos(2 * std::numbers::pi * centre_hz / sound_rate_hz) * state[f][0] -
                              radius * radius * state[f][1];
          state[f][1] = state[f][0];
          state[f][0] = next;
          out += next * (1.0 - radius);
        }
        const double envelope = std::min(1.0, since_s / attack_s) * std::min(1.0, (syllable_s - since_s) / 0.03);
        sound[static_cast<std::size_t>(first + i)] += static_cast<float>(0.3 * envelope * out);
      }
      at_s += syllable_s + 0.02 + (uniform(engine) < 0.15 ? 0.8 : 0.15) * uniform(engine);
    }
  }
  return sound;
}

// Landings: a falling tone of 90 Hz with a slap of noise, each within `jitter_s` of its time.
inline Sound landings(double length_s, const std::vector<double>& times_s, double jitter_s, unsigned seed) {
  Sound sound = silence(length_s);
  std::mt19937 engine(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  for (const double time_s : times_s) {
    const double at_s = time_s + jitter_s * normal(engine);
    const double level = 0.4 * (1.0 + 0.2 * normal(engine));
    strike(sound, at_s, {85.0, 0.035, 0.002, level});
    strike(sound, at_s, {140.0, 0.02, 0.001, 0.5 * level});
    const auto first = static_cast<long>(at_s * sound_rate_hz);
    double smooth = 0;
    for (long i = 0; i < 1500 && first + i < static_cast<long>(sound.size()); ++i) {
      if (first + i < 0) continue;
      const double since_s = static_cast<double>(i) / sound_rate_hz;
      smooth += 0.15 * (normal(engine) - smooth);  // up to about 1.2 kHz
      const double envelope = std::min(1.0, since_s / 0.002) * std::exp(-since_s / 0.008);
      sound[static_cast<std::size_t>(first + i)] += static_cast<float>(0.6 * level * envelope * smooth);
    }
  }
  return sound;
}

// A room: exponentially dying noise after the direct sound. `wet` is its energy beside the direct sound's.
inline Sound in_room(const Sound& dry, double rt60_s, double wet, unsigned seed) {
  std::mt19937 engine(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  // Sparse reflections, some thousand a second, growing denser is not needed for the attack.
  std::vector<std::pair<std::size_t, float>> taps;
  double energy = 0;
  double at_s = 0.004;
  while (at_s < rt60_s) {
    const double gain = normal(engine) * std::pow(10.0, -3.0 * at_s / rt60_s);
    taps.emplace_back(static_cast<std::size_t>(at_s * sound_rate_hz), static_cast<float>(gain));
    energy += gain * gain;
    at_s += 0.0004 + 0.0008 * std::abs(normal(engine));
  }
  Sound out = dry;
  const auto scale = static_cast<float>(std::sqrt(wet / energy));
  for (std::size_t i = 0; i < dry.size(); ++i) {
    if (std::abs(dry[i]) < 1e-5F) continue;
    for (const auto& [delay, gain] : taps) {
      if (i + delay < out.size()) out[i + delay] += scale * gain * dry[i];
    }
  }
  return out;
}

// Chords of three notes of five partials each, attacks of 5 to 25 ms, with a melody between; each beat's length varies
// by `rubato`, which for players is some hundredths.
inline Sound music(double length_s, unsigned seed, double bpm, double rubato) {
  Sound sound = silence(length_s);
  std::mt19937 engine(seed);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  std::normal_distribution<double> normal(0.0, 1.0);
  const auto play = [&](double at_s, double lowest_hz, int tones, double level) {
    const double tone_hz = lowest_hz * std::pow(2.0, std::floor(uniform(engine) * tones) / 12.0);
    const double attack_s = 0.005 + 0.02 * uniform(engine);
    const double late_s = rubato > 0.0 ? 0.006 * normal(engine) : 0.0;
    for (int partial = 1; partial <= 5; ++partial) {
      strike(sound, at_s + late_s, {tone_hz * partial, 0.25 / partial, attack_s, level / partial});
    }
  };
  double at_s = 0.3;
  while (at_s < length_s - 1.0) {
    const double beat_s = 60.0 / bpm * (1.0 + rubato * normal(engine));
    for (int note = 0; note < 3; ++note) play(at_s, 110.0, 24, 0.1);
    if (uniform(engine) < 0.5) play(at_s + beat_s / 2, 440.0, 12, 0.08);
    at_s += beat_s;
  }
  return sound;
}

// A phone's noise gate: shut until the sound passes `level`, open for `open_s` after it fell under it.
inline Sound gated(const Sound& in, double level, double open_s) {
  Sound out = in;
  long open = 0;
  for (std::size_t i = 0; i < in.size(); ++i) {
    if (std::abs(in[i]) > level) open = static_cast<long>(open_s * sound_rate_hz);
    if (open-- <= 0) out[i] = 0.0F;
  }
  return out;
}

// A phone's automatic gain: quick to turn down, seconds to turn up, up to 26 dB, with a soft limit.
inline Sound levelled(const Sound& in) {
  Sound out = in;
  double level = 0.01;
  for (std::size_t i = 0; i < in.size(); ++i) {
    const double now = std::abs(in[i]);
    level += (now > level ? 0.002 : 0.00002) * (now - level);
    out[i] = static_cast<float>(std::tanh(in[i] * std::min(20.0, 0.1 / std::max(level, 1e-4))));
  }
  return out;
}

inline beat::Beats heard_in(const Sound& sound, double first_s = 0.0) {
  beat::BeatListener listener;
  for (std::size_t at = 0; at < sound.size(); at += 1024) {
    clip::SoundPiece piece;
    piece.first_s = first_s + static_cast<double>(at) / sound_rate_hz;
    piece.rate_hz = sound_rate_hz;
    piece.samples.assign(sound.begin() + static_cast<long>(at),
                         sound.begin() + static_cast<long>(std::min(sound.size(), at + 1024)));
    listener.push(piece);
  }
  return listener.finish();
}

// Heard clicks beside true ones: each true click with the nearest heard one.
struct Errors {
  int wanted = 0, found = 0, extra = 0;  // found: within 10 ms; extra: heard clicks near no true one
  double mean_ms = 0, sd_ms = 0, most_ms = 0, rms_ms = 0;
};

inline Errors errors_of(const beat::Beats& beats, const std::vector<double>& times_s) {
  Errors errors;
  errors.wanted = static_cast<int>(times_s.size());
  double sum = 0;
  double squares = 0;
  const auto nearest_ms = [](double at_s, const auto& others, auto time_of) {
    double best = 1e9;
    for (const auto& each : others) {
      if (std::abs(time_of(each) - at_s) < std::abs(best)) best = time_of(each) - at_s;
    }
    return 1000.0 * best;
  };
  for (const double at_s : times_s) {
    const double off_ms = nearest_ms(at_s, beats.clicks, [](const beat::Click& click) { return click.time_s; });
    if (std::abs(off_ms) > 10.0) continue;
    ++errors.found;
    sum += off_ms;
    squares += off_ms * off_ms;
    errors.most_ms = std::max(errors.most_ms, std::abs(off_ms));
  }
  for (const auto& click : beats.clicks) {
    if (std::abs(nearest_ms(click.time_s, times_s, [](double time_s) { return time_s; })) > 10.0) ++errors.extra;
  }
  if (errors.found == 0) return errors;
  errors.mean_ms = sum / errors.found;
  errors.rms_ms = std::sqrt(squares / errors.found);
  errors.sd_ms = std::sqrt(std::max(0.0, squares / errors.found - errors.mean_ms * errors.mean_ms));
  return errors;
}

}  // namespace risetrace::test
