// The two-pass Butterworth against scipy.signal: live where it is installed, and against numbers kept beside this file.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <string>

#include "math/butterworth.h"
#include "place.h"
#include "second_opinion.h"

namespace risetrace {
namespace {

constexpr double pi = std::numbers::pi;

// The signal that filter_reference.csv describes in its second line.
std::vector<double> reference_signal() {
  std::vector<double> out;
  out.reserve(48);
  for (int n = 0; n < 48; ++n) {
    out.push_back(5 * std::sin(2 * pi * 0.7 * n / 60) + 0.5 * std::cos(2 * pi * 9 * n / 60) + (n > 30 ? 1.5 : 0.0));
  }
  return out;
}

void expect_same_filter(const math::Biquad& ours, const std::vector<double>& b_then_a) {
  ASSERT_EQ(b_then_a.size(), 6u);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(ours.b[i], b_then_a[i], 1e-12) << "b" << i;
    EXPECT_NEAR(ours.a[i], b_then_a[i + 3], 1e-12) << "a" << i;
  }
}

TEST(OutsideFilter, AgreesWithTheKeptNumbers) {
  std::ifstream file(test::source_folder() / "tests" / "outside" / "filter_reference.csv");
  ASSERT_TRUE(file.is_open());
  std::string line;
  std::getline(file, line);
  std::getline(file, line);  // two lines of provenance
  std::vector<double> coefficients;
  std::getline(file, line);
  std::istringstream cells(line);
  for (std::string cell; std::getline(cells, cell, ',');) coefficients.push_back(std::stod(cell));
  const math::Biquad filter = math::butterworth_low_pass(10, 60);
  expect_same_filter(filter, coefficients);
  const std::vector<double> ours = math::filter_both_ways(filter, reference_signal(), 20);
  for (const double value : ours) {
    ASSERT_TRUE(std::getline(file, line));
    EXPECT_NEAR(value, std::stod(line), 1e-10);
  }
  EXPECT_FALSE(std::getline(file, line));
}

constexpr const char* butter_script = R"(
import sys
import numpy as np
from scipy import signal
cutoff, rate, passes = float(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3])
corrected = rate / np.pi * np.arctan(np.tan(np.pi * cutoff / rate) / (2 ** (1 / passes) - 1) ** 0.25)
b, a = signal.butter(2, corrected, fs=rate)
print(*(repr(float(v)) for v in [*b, *a]))
)";

TEST(OutsideFilter, CoefficientsAreThoseOfScipy) {
  RISETRACE_NEEDS_SCIPY();
  const test::Script script(butter_script);
  for (const auto& [cutoff_hz, rate_hz, passes] :
       {std::tuple{10.0, 60.0, 2}, {6.0, 120.0, 2}, {10.0, 25.5, 2}, {10.0, 240.0, 1}}) {
    const auto theirs =
        script.numbers(std::to_string(cutoff_hz) + " " + std::to_string(rate_hz) + " " + std::to_string(passes));
    ASSERT_TRUE(theirs.has_value());
    expect_same_filter(math::butterworth_low_pass(cutoff_hz, rate_hz, passes), *theirs);
  }
}

constexpr const char* filtfilt_script = R"(
import sys
import numpy as np
from scipy import signal
rate, padding = float(sys.argv[1]), int(sys.argv[2])
n = np.arange(300)
x = 4 * np.sin(2 * np.pi * 0.9 * n / rate + 0.3) + (n * 7919 % 97) / 97 + np.where(n > 200, 3.0, 0.0)
corrected = rate / np.pi * np.arctan(np.tan(np.pi * 10 / rate) / (2 ** 0.5 - 1) ** 0.25)
b, a = signal.butter(2, corrected, fs=rate)
print(*(repr(float(v)) for v in signal.filtfilt(b, a, x, padtype='odd', padlen=padding)))
)";

TEST(OutsideFilter, BothWaysIsFiltfiltOfScipy) {
  RISETRACE_NEEDS_SCIPY();
  const test::Script script(filtfilt_script);
  for (const auto& [rate_hz, padding] : {std::pair{30.0, 9}, {60.0, 15}, {120.0, 60}, {240.0, 0}}) {
    std::vector<double> signal;
    signal.reserve(300);
    for (int n = 0; n < 300; ++n) {
      signal.push_back(4 * std::sin(2 * pi * 0.9 * n / rate_hz + 0.3) + (n * 7919 % 97) / 97.0 + (n > 200 ? 3.0 : 0.0));
    }
    const auto theirs = script.numbers(std::to_string(rate_hz) + " " + std::to_string(padding));
    ASSERT_TRUE(theirs.has_value());
    const auto ours = math::filter_both_ways(math::butterworth_low_pass(10, rate_hz), signal, padding);
    ASSERT_EQ(theirs->size(), ours.size());
    for (std::size_t i = 0; i < ours.size(); ++i) ASSERT_NEAR(ours[i], (*theirs)[i], 1e-10) << rate_hz << " " << i;
  }
}

}  // namespace
}  // namespace risetrace
