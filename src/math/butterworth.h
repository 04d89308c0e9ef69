// Second-order low-pass Butterworth run forwards and backwards, so that nothing is shifted in time.
// Winter, Biomechanics and Motor Control of Human Movement, 4th ed. 2009, ch. 3 (from memory): the cut-off of one
// pass is corrected so that the gain of both passes at `cutoff_hz` is 1/sqrt(2).
#pragma once

#include <array>
#include <deque>
#include <optional>
#include <vector>

namespace risetrace::math {

// y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]
struct Biquad {
  std::array<double, 3> b{1, 0, 0};
  std::array<double, 3> a{1, 0, 0};  // a[0] is always 1
};

// One pass of the pair. 0 < cutoff_hz < 0.4 * rate_hz, `passes` 1 or 2; throws nothing, clamps nothing: the caller
// checks.
Biquad butterworth_low_pass(double cutoff_hz, double rate_hz, int passes = 2);

// Whole signal, evenly sampled: forwards, then backwards, each started in its steady state, odd extension at both ends.
// Agrees with scipy.signal.filtfilt of the same coefficients with padlen = `padding`. A signal too short for the
// padding is extended by all it has.
std::vector<double> filter_both_ways(const Biquad& filter, const std::vector<double>& signal, int padding);

// The same while samples arrive: each output is what filter_both_ways gives for the signal as far as it is known,
// `lag_samples` after the output's own place and with a padding of as many, so the delay is fixed. With a lag of
// 2.5 / cutoff seconds it differs from the whole-signal result by under 1e-4 of the signal's range.
class FixedLagLowPass {
 public:
  FixedLagLowPass(Biquad filter, int lag_samples);  // lag_samples at least 1
  // The smoothed sample that lies `lag_samples` before this one; empty while there is none yet.
  std::optional<double> push(double sample);
  // The samples still held back, in order, when the signal has ended.
  std::vector<double> finish();

 private:
  void start();
  [[nodiscard]] std::vector<double> smooth_held() const;

  Biquad filter_;
  int lag_samples_;
  std::deque<double> raw_;      // the newest at the back; as many as forward_ once started
  std::deque<double> forward_;  // forward-filtered, the newest at the back
  std::array<double, 2> state_{0, 0};
  bool started_ = false;
};

}  // namespace risetrace::math
