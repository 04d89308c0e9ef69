#include "beat/band_power.h"

#include <algorithm>
#include <cmath>

namespace risetrace::beat {
namespace {

// The high-pass has the low-pass's poles, two zeros at 0 Hz and unit gain at the upper end (bilinear transform).
math::Biquad butterworth_high_pass(double cutoff_hz, double rate_hz) {
  math::Biquad filter = math::butterworth_low_pass(cutoff_hz, rate_hz, 1);
  const double gain = (1.0 - filter.a[1] + filter.a[2]) / 4.0;
  filter.b = {gain, -2.0 * gain, gain};
  return filter;
}

}  // namespace

BandPass::BandPass(double low_hz, double high_hz, double rate_hz) {
  const double top_hz = std::min(high_hz, 0.39 * rate_hz);
  silent_ = low_hz >= 0.9 * top_hz;
  if (silent_) return;
  high_pass_.filter = butterworth_high_pass(low_hz, rate_hz);
  low_pass_.filter = math::butterworth_low_pass(top_hz, rate_hz, 1);
}

double BandPass::Stage::push(double sample) {
  const double out = filter.b[0] * sample + z1;
  z1 = filter.b[1] * sample - filter.a[1] * out + z2;
  z2 = filter.b[2] * sample - filter.a[2] * out;
  return out;
}

double BandPass::push(double sample) { return silent_ ? 0.0 : low_pass_.push(high_pass_.push(sample)); }

BandPower::BandPower(double rate_hz)
    : rate_hz_(rate_hz),
      slot_samples_(std::max(1, static_cast<int>(std::lround(rate_hz / 4000.0)))),
      click_{BandPass(700.0, 1700.0, rate_hz), BandPass(1700.0, 4000.0, rate_hz), BandPass(4000.0, 9000.0, rate_hz),
             BandPass(9000.0, 16000.0, rate_hz)},
      low_(40.0, 160.0, rate_hz),
      mid_(160.0, 640.0, rate_hz) {}

void BandPower::push(const clip::SoundPiece& piece, std::vector<Slot>& out) {
  const auto weight = 1.0F / static_cast<float>(slot_samples_);
  for (std::size_t i = 0; i < piece.samples.size(); ++i) {
    if (filled_ == 0) {
      slot_ = Slot();
      slot_.time_s = piece.first_s + static_cast<double>(i) / rate_hz_;
    }
    // A constant far below hearing keeps the filters out of denormal numbers, which are slow, in digital silence.
    const double sample = piece.samples[i] + 1e-15;
    for (std::size_t b = 0; b < click_.size(); ++b) {
      const auto value = static_cast<float>(click_[b].push(sample));
      slot_.click[b] += weight * value * value;
    }
    const auto low = static_cast<float>(low_.push(sample));
    slot_.low += weight * low * low;
    const auto mid = static_cast<float>(mid_.push(sample));
    slot_.mid += weight * mid * mid;
    if (++filled_ == slot_samples_) {
      out.push_back(slot_);
      filled_ = 0;
    }
  }
}

}  // namespace risetrace::beat
