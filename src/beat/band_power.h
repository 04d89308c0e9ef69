// Sound to power in bands, slot by slot of a quarter of a millisecond. Causal: a slot holds nothing of what comes after
// it, so that no attack begins before its time.
#pragma once

#include <array>
#include <vector>

#include "clip/sound.h"
#include "math/butterworth.h"

namespace risetrace::beat {

constexpr int click_bands = 4;

struct Slot {
  double time_s = 0.0;                     // of its beginning
  std::array<float, click_bands> click{};  // mean square in each band from 700 Hz to 16 kHz
  float low = 0.0F;                        // from 40 to 160 Hz: landings
  float mid = 0.0F;                        // from 160 to 640 Hz: when they begin
};

// Second-order Butterworth high-pass and low-pass in a row, each run once.
class BandPass {
 public:
  // 0 < low_hz; a band that reaches over 0.39 x rate_hz is cut there, one that lies above it stays silent.
  BandPass(double low_hz, double high_hz, double rate_hz);
  double push(double sample);

 private:
  struct Stage {
    math::Biquad filter;
    double z1 = 0.0, z2 = 0.0;  // transposed direct form II
    double push(double sample);
  };
  Stage high_pass_, low_pass_;
  bool silent_ = false;
};

class BandPower {
 public:
  explicit BandPower(double rate_hz);
  // Appends the slots that `piece` completes.
  void push(const clip::SoundPiece& piece, std::vector<Slot>& out);
  [[nodiscard]] double slot_s() const { return slot_samples_ / rate_hz_; }

 private:
  double rate_hz_;
  int slot_samples_;
  std::array<BandPass, click_bands> click_;
  BandPass low_, mid_;
  int filled_ = 0;  // samples in the slot being filled
  Slot slot_;
};

}  // namespace risetrace::beat
