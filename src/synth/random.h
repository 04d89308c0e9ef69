// Numbers that look random and are the same on every run: SplitMix64 (Steele, Lea & Flood 2014, OOPSLA, fig. 16, from
// memory).
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>

namespace risetrace::synth {

class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    state_ += 0x9E3779B97F4A7C15U;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31U);
  }
  // 0 <= value < 1
  double uniform() { return static_cast<double>(next() >> 11U) * 0x1.0p-53; }
  double between(double low, double high) { return low + (high - low) * uniform(); }
  // Mean 0, standard deviation 1 (Box & Muller 1958; the second of each pair is not used).
  double normal() {
    const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
    return radius * std::cos(2.0 * std::numbers::pi * uniform());
  }

 private:
  std::uint64_t state_;
};

// One seed out of several numbers, so that frames, rows and purposes do not share a sequence.
inline std::uint64_t mixed_seed(std::uint64_t seed, std::uint64_t purpose, std::uint64_t a = 0, std::uint64_t b = 0) {
  Random mix(seed * 0x9E3779B97F4A7C15U + purpose * 0xD1B54A32D192ED03U + a * 0x8CB92BA72F3D8DD7U + b);
  return mix.next();
}

}  // namespace risetrace::synth
