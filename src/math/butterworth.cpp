#include "math/butterworth.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace risetrace::math {
namespace {

// Transposed direct form II: two numbers carry all of the past.
using State = std::array<double, 2>;

double step(const Biquad& f, State& state, double x) {
  const double y = f.b[0] * x + state[0];
  state[0] = f.b[1] * x - f.a[1] * y + state[1];
  state[1] = f.b[2] * x - f.a[2] * y;
  return y;
}

// The state after an endless run of `level`.
State steady_state(const Biquad& f, double level) {
  const double gain = (f.b[0] + f.b[1] + f.b[2]) / (f.a[0] + f.a[1] + f.a[2]);
  return {(gain - f.b[0]) * level, (f.b[2] - f.a[2] * gain) * level};
}

// The signal turned about its end sample: keeps value and slope where it stops. `inward(i)` is the sample i steps from
// the end, i = 1 .. padding; the first of the result lies next to the end.
template <typename Inward>
std::vector<double> odd_extension(double end, int padding, Inward inward) {
  std::vector<double> out(static_cast<std::size_t>(padding));
  for (int i = 1; i <= padding; ++i) out[static_cast<std::size_t>(i - 1)] = 2 * end - inward(i);
  return out;
}

}  // namespace

Biquad butterworth_low_pass(double cutoff_hz, double rate_hz, int passes) {
  // The correction belongs in the tangent domain, where the analogue prototype lives: dividing the frequency itself
  // would be right only far below the sampling rate.
  const double correction = std::pow(std::pow(2.0, 1.0 / passes) - 1, 0.25);
  const double u = std::tan(std::numbers::pi * cutoff_hz / rate_hz) / correction;
  const double norm = 1 / (1 + std::numbers::sqrt2 * u + u * u);
  Biquad f;
  f.b = {u * u * norm, 2 * u * u * norm, u * u * norm};
  f.a = {1, 2 * (u * u - 1) * norm, (1 - std::numbers::sqrt2 * u + u * u) * norm};
  return f;
}

std::vector<double> filter_both_ways(const Biquad& filter, const std::vector<double>& signal, int padding) {
  if (signal.empty()) return {};
  const int size = static_cast<int>(signal.size());
  const int pad = std::clamp(padding, 0, size - 1);
  const std::vector<double> before =
      odd_extension(signal.front(), pad, [&](int i) { return signal[static_cast<std::size_t>(i)]; });
  const std::vector<double> after =
      odd_extension(signal.back(), pad, [&](int i) { return signal[static_cast<std::size_t>(size - 1 - i)]; });
  std::vector<double> all(before.rbegin(), before.rend());
  all.insert(all.end(), signal.begin(), signal.end());
  all.insert(all.end(), after.begin(), after.end());

  State state = steady_state(filter, all.front());
  for (double& value : all) value = step(filter, state, value);
  state = steady_state(filter, all.back());
  for (auto it = all.rbegin(); it != all.rend(); ++it) *it = step(filter, state, *it);
  return {all.begin() + pad, all.begin() + pad + size};
}

FixedLagLowPass::FixedLagLowPass(Biquad filter, int lag_samples)
    : filter_(filter), lag_samples_(std::max(1, lag_samples)) {}

std::optional<double> FixedLagLowPass::push(double sample) {
  raw_.push_back(sample);
  if (!started_) {
    if (static_cast<int>(raw_.size()) <= lag_samples_) return std::nullopt;
    start();
    return smooth_held().front();
  }
  forward_.push_back(step(filter_, state_, sample));
  raw_.pop_front();
  forward_.pop_front();
  return smooth_held().front();
}

void FixedLagLowPass::start() {
  started_ = true;
  const std::vector<double> before =
      odd_extension(raw_.front(), lag_samples_, [&](int i) { return raw_[static_cast<std::size_t>(i)]; });
  state_ = steady_state(filter_, before.back());
  for (auto it = before.rbegin(); it != before.rend(); ++it) step(filter_, state_, *it);
  for (const double value : raw_) forward_.push_back(step(filter_, state_, value));
}

// The backward pass over the lag_samples_ + 1 newest samples, begun as far beyond the newest one.
std::vector<double> FixedLagLowPass::smooth_held() const {
  std::vector<double> ahead = odd_extension(raw_.back(), lag_samples_,
                                            [&](int i) { return raw_[raw_.size() - 1 - static_cast<std::size_t>(i)]; });
  State state = state_;
  for (double& value : ahead) value = step(filter_, state, value);
  state = steady_state(filter_, ahead.back());
  for (auto it = ahead.rbegin(); it != ahead.rend(); ++it) step(filter_, state, *it);
  std::vector<double> out(forward_.begin(), forward_.end());
  for (auto it = out.rbegin(); it != out.rend(); ++it) *it = step(filter_, state, *it);
  return out;
}

std::vector<double> FixedLagLowPass::finish() {
  std::vector<double> out;
  if (started_) {
    out = smooth_held();
    out.erase(out.begin());  // handed out by the last push
  } else {
    out = filter_both_ways(filter_, {raw_.begin(), raw_.end()}, lag_samples_);
  }
  raw_.clear();
  forward_.clear();
  started_ = false;
  return out;
}

}  // namespace risetrace::math
