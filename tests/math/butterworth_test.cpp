#include "math/butterworth.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace risetrace::math {
namespace {

constexpr double pi = std::numbers::pi;

double gain_at(const Biquad& f, double frequency_hz, double rate_hz) {
  const std::complex<double> z = std::polar(1.0, -2 * pi * frequency_hz / rate_hz);
  return std::abs((f.b[0] + f.b[1] * z + f.b[2] * z * z) / (f.a[0] + f.a[1] * z + f.a[2] * z * z));
}

// Smooth, rough and with a jump: sines whose phases hang on `seed`, and a step.
std::vector<double> lively_signal(int size, double rate_hz, int seed) {
  std::vector<double> out;
  for (int i = 0; i < size; ++i) {
    const double t = i / rate_hz;
    out.push_back(5 * std::sin(2 * pi * 0.5 * t + seed) + std::sin(2 * pi * 3.1 * t + 2 * seed) +
                  0.2 * std::sin(2 * pi * 21 * t) + (3 * i > 2 * size ? 2.0 : 0.0) + 1e-3 * ((i * 7919 + seed) % 97));
  }
  return out;
}

double range_of(const std::vector<double>& values) {
  const auto [least, greatest] = std::minmax_element(values.begin(), values.end());
  return *greatest - *least;
}

std::vector<double> smooth_as_it_comes(const Biquad& f, const std::vector<double>& signal, int lag) {
  FixedLagLowPass filter(f, lag);
  std::vector<double> out;
  for (const double x : signal) {
    if (const auto y = filter.push(x)) out.push_back(*y);
  }
  const std::vector<double> rest = filter.finish();
  out.insert(out.end(), rest.begin(), rest.end());
  return out;
}

// The definition of a cut-off; holds near the sampling rate too, where dividing the frequency by 0.802 does not.
TEST(ButterworthLowPass, BothPassesHalveThePowerAtTheCutoff) {
  for (const double rate_hz : {25.5, 60.0, 120.0, 240.0}) {
    const Biquad f = butterworth_low_pass(10, rate_hz, 2);
    EXPECT_NEAR(std::pow(gain_at(f, 10, rate_hz), 2), std::numbers::sqrt2 / 2, 1e-12) << rate_hz;
    EXPECT_NEAR(gain_at(f, 0, rate_hz), 1, 1e-12);
    const Biquad one = butterworth_low_pass(10, rate_hz, 1);
    EXPECT_NEAR(gain_at(one, 10, rate_hz), std::numbers::sqrt2 / 2, 1e-12) << rate_hz;
  }
}

TEST(ButterworthLowPass, IsMaximallyFlatInTheWarpedFrequency) {
  const Biquad f = butterworth_low_pass(10, 120, 2);
  const double corner = std::tan(pi * 10 / 120) / 0.8022432629;  // (sqrt(2) - 1)^(1/4): derived here
  for (const double hz : {1.0, 5.0, 20.0, 50.0}) {
    const double ratio = std::tan(pi * hz / 120) / corner;
    EXPECT_NEAR(std::pow(gain_at(f, hz, 120), 2), 1 / (1 + std::pow(ratio, 4)), 1e-9) << hz;
  }
}

TEST(FilterBothWays, KeepsAStraightLine) {
  std::vector<double> line(200);
  for (std::size_t i = 0; i < line.size(); ++i) line[i] = 3 - 0.25 * static_cast<double>(i);
  const std::vector<double> out = filter_both_ways(butterworth_low_pass(10, 120), line, 60);
  ASSERT_EQ(out.size(), line.size());
  for (std::size_t i = 0; i < line.size(); ++i) EXPECT_NEAR(out[i], line[i], 1e-4) << i;
}

TEST(FilterBothWays, ShiftsNothingInTime) {
  std::vector<double> bump(301, 0.0);
  for (std::size_t i = 0; i <= 60; ++i) bump[120 + i] = 1 - std::cos(pi * static_cast<double>(i) / 30);
  const std::vector<double> out = filter_both_ways(butterworth_low_pass(6, 60), bump, 60);
  for (std::size_t i = 0; i < 150; ++i) EXPECT_NEAR(out[150 - i], out[150 + i], 1e-9) << i;
}

TEST(FilterBothWays, TakesShortAndEmptySignals) {
  const Biquad f = butterworth_low_pass(10, 60);
  EXPECT_TRUE(filter_both_ways(f, {}, 9).empty());
  EXPECT_NEAR(filter_both_ways(f, {4.5}, 9).at(0), 4.5, 1e-12);
  EXPECT_EQ(filter_both_ways(f, {1, 2, 3}, 9).size(), 3u);
}

RC_GTEST_PROP(FixedLagLowPass, AgreesWithTheWholeSignal, (int seed)) {
  const double rate_hz = *rc::gen::element(60.0, 120.0, 240.0);
  const double cutoff_hz = *rc::gen::element(6.0, 8.0, 10.0);
  const Biquad f = butterworth_low_pass(cutoff_hz, rate_hz);
  const int lag = static_cast<int>(std::ceil(2.5 / cutoff_hz * rate_hz));
  const std::vector<double> signal = lively_signal(700, rate_hz, seed % 1000);
  const std::vector<double> whole = filter_both_ways(f, signal, lag);
  const std::vector<double> live = smooth_as_it_comes(f, signal, lag);
  RC_ASSERT(live.size() == whole.size());
  const double allowed = 1e-4 * range_of(signal);
  for (std::size_t i = 0; i < whole.size(); ++i) RC_ASSERT(std::abs(live[i] - whole[i]) < allowed);
}

TEST(FixedLagLowPass, IsTheTwoPassFilterOfWhatIsKnown) {
  const Biquad f = butterworth_low_pass(10, 60);
  const std::vector<double> signal = lively_signal(60, 60, 3);
  FixedLagLowPass filter(f, 8);
  for (std::size_t n = 0; n < signal.size(); ++n) {
    const auto out = filter.push(signal[n]);
    ASSERT_EQ(out.has_value(), n >= 8);
    if (!out) continue;
    const std::vector<double> known(signal.begin(), signal.begin() + static_cast<std::ptrdiff_t>(n) + 1);
    EXPECT_NEAR(*out, filter_both_ways(f, known, 8)[n - 8], 1e-11) << n;
  }
  EXPECT_EQ(filter.finish().size(), 8u);
}

TEST(FixedLagLowPass, GivesEverySampleOfAShortSignalAtTheEnd) {
  EXPECT_EQ(smooth_as_it_comes(butterworth_low_pass(10, 60), {1, 2, 3}, 15).size(), 3u);
  EXPECT_TRUE(smooth_as_it_comes(butterworth_low_pass(10, 60), {}, 15).empty());
}

}  // namespace
}  // namespace risetrace::math
