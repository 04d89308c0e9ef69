// Through the smoothing to the rep: what the whole chain does to heights and times whose truth is known. The figures in
// docs/method-reps.md are these; `--gtest_output=xml` writes them out.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "filmed_set.h"
#include "path/build_path.h"

namespace risetrace::raise {
namespace {

using test::Movement;

// A sticker filmed square on at 20 px/cm, each position off by normal noise; smoothed as the program does.
RepSet filmed(const Movement& movement, double rate_hz, double noise_cm, unsigned seed) {
  scale::Scale scale;
  scale.cm_from_px = math::Homography{{0.05, 0, 0, 0, -0.05, 0, 0, 0, 1}};
  path::PathBuilder builder(scale, {test::protocol().smooth_cutoff_hz, rate_hz});
  RepFinder finder(test::protocol());
  std::mt19937 random(seed);
  std::normal_distribution<double> noise(0, 1);
  // The clip's first frame lies anywhere between two frames of a regular mover's beat.
  const double phase_s = std::uniform_real_distribution<double>(0, 1)(random) / rate_hz;
  for (int i = 0; i <= movement.end_s() * rate_hz; ++i) {
    const double up_cm = movement(i / rate_hz + phase_s) + noise_cm * noise(random);
    for (const auto& s : builder.push({i, i / rate_hz, {0, -20 * up_cm}, true, 1})) finder.push(s);
  }
  for (const auto& s : builder.finish()) finder.push(s);
  RepSet set = finder.finish();
  for (Rep& rep : set.reps) {
    rep.start_s += phase_s;
    rep.peak_s += phase_s;
    rep.end_s += phase_s;
  }
  return set;
}

struct Shape {
  const char* name;
  double way_s;
  double hold_s;
};

constexpr Shape shapes[] = {{"slow", 1, 0}, {"slow_held", 1, 0.3}, {"quick", 0.35, 0}, {"quick_held", 0.35, 0.3}};
constexpr int reps = 10;

Movement set_of(const Shape& shape) {
  Movement m;
  m.stay(1);
  for (int i = 0; i < reps; ++i) m.go(10, shape.way_s).stay(shape.hold_s).go(0, shape.way_s).stay(0.6);
  return m;
}

struct Errors {
  double mean_mm = 0.0;   // of the heights
  double worst_mm = 0.0;  // of one height
  double start_ms = 0.0;  // worst
  double peak_ms = 0.0;   // worst
};

Errors errors_of(const Shape& shape, double rate_hz, double noise_cm, int clips) {
  Errors out;
  const double period_s = 2 * shape.way_s + shape.hold_s + 0.6;
  const Movement movement = set_of(shape);
  for (int clip = 0; clip < clips; ++clip) {
    const RepSet set = filmed(movement, rate_hz, noise_cm, 100 + static_cast<unsigned>(clip));
    EXPECT_EQ(set.reps.size(), static_cast<std::size_t>(reps)) << shape.name << " " << rate_hz;
    for (const Rep& rep : set.reps) {
      const double from_s = 1 + (rep.n - 1) * period_s;
      const double error_mm = 10 * (rep.height_cm - 10);
      out.mean_mm += error_mm / (reps * clips);
      out.worst_mm = std::max(out.worst_mm, std::abs(error_mm));
      out.start_ms = std::max(out.start_ms, 1e3 * std::abs(rep.start_s - from_s - test::share_s(0.03, shape.way_s)));
      out.peak_ms = std::max(out.peak_ms, 1e3 * std::abs(rep.peak_s - from_s - shape.way_s - shape.hold_s / 2));
    }
  }
  return out;
}

class Accuracy : public testing::Test {
 protected:
  void record(const std::string& what, const Shape& shape, double rate_hz, const Errors& e) {
    const std::string key = what + "_" + shape.name + "_" + std::to_string(static_cast<int>(rate_hz));
    RecordProperty(key, std::to_string(e.mean_mm) + " mm mean, " + std::to_string(e.worst_mm) + " mm worst, start " +
                            std::to_string(e.start_ms) + " ms, peak " + std::to_string(e.peak_ms) + " ms");
  }
};

TEST_F(Accuracy, CleanPeaksAreNotShaved) {
  for (const double rate_hz : {25.0, 30.0, 60.0, 120.0, 240.0}) {
    for (const Shape& shape : shapes) {
      const Errors e = errors_of(shape, rate_hz, 0, 3);
      record("clean", shape, rate_hz, e);
      const bool fast = rate_hz >= 60;
      EXPECT_LT(e.worst_mm, 0.05) << shape.name << " " << rate_hz;
      EXPECT_LT(e.peak_ms, fast ? 1 : 8) << shape.name << " " << rate_hz;
      EXPECT_LT(e.start_ms, fast ? 2 : 8) << shape.name << " " << rate_hz;
    }
  }
}

// 0.05 mm: a tenth of a pixel at 20 px/cm, more than a good fit of a sticker leaves.
TEST_F(Accuracy, NoiseDoesNotRaiseThePeaks) {
  for (const double rate_hz : {25.0, 30.0, 60.0, 120.0, 240.0}) {
    for (const Shape& shape : shapes) {
      const Errors e = errors_of(shape, rate_hz, 0.005, 10);
      record("noise", shape, rate_hz, e);
      EXPECT_LT(std::abs(e.mean_mm), 0.1) << shape.name << " " << rate_hz;
    }
  }
}

// Ten times worse than that: the count must stand, and the highest of the noise must not pass for the peak: the mean
// stays within 1.5 standard deviations of the smoothed noise (its width 10.38 Hz, see the test of the path).
TEST_F(Accuracy, RoughTracksStillCount) {
  for (const double rate_hz : {25.0, 60.0, 240.0}) {
    for (const Shape& shape : shapes) {
      const Errors e = errors_of(shape, rate_hz, 0.05, 10);
      record("rough", shape, rate_hz, e);
      const double smooth_sd_mm = 0.5 * std::sqrt(2 * 10.38 / rate_hz);
      EXPECT_LT(std::abs(e.mean_mm), 1.5 * smooth_sd_mm) << shape.name << " " << rate_hz;
      EXPECT_LT(e.start_ms, 100 * shape.way_s + 20) << shape.name << " " << rate_hz;
    }
  }
}

}  // namespace
}  // namespace risetrace::raise
