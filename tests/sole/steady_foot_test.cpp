// Samples that no foot can have made are left out; the others stay.
#include "sole/steady_foot.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace risetrace::sole {
namespace {

constexpr double px_per_cm = 12;

struct Made {
  std::vector<ClearanceSample> samples;
  std::vector<std::optional<double>> heel_up_px;
};

// Hops of 0.2 s on the ground and 0.2 s in the air, the front 4 cm below the heel and more while it is on its way up.
Made hops(double fps, double noise_px = 0.3) {
  Made made;
  std::mt19937 random(4);
  std::normal_distribution<double> noise(0, noise_px);
  for (std::int64_t n = 0; n < static_cast<std::int64_t>(4 * fps); ++n) {
    const double t = static_cast<double>(n) / fps;
    const double in_hop = std::fmod(t, 0.4) - 0.2;
    const double up_cm = in_hop > 0 ? 980.665 / 2 * in_hop * (0.2 - in_hop) : 0;
    const double below_cm = 4 + 3 * std::sin(2 * M_PI * t / 0.4);
    made.samples.push_back({n, t, px_per_cm * up_cm + noise(random), 0.1, true});
    made.heel_up_px.emplace_back(px_per_cm * (up_cm + below_cm));
  }
  return made;
}

TEST(SteadyFoot, KeepsWhatAFootDoes) {
  for (const double fps : {30.0, 60.0, 120.0, 240.0}) {
    Made made = hops(fps);
    leave_out_leaps(made.samples, made.heel_up_px, px_per_cm);
    for (const ClearanceSample& s : made.samples) EXPECT_TRUE(s.seen) << fps << " at " << s.time_s;
  }
}

TEST(SteadyFoot, LeavesOutWhatLeapsAndNothingBesideIt) {
  for (const double fps : {60.0, 240.0}) {
    for (const double leap_cm : {-3.0, 2.0}) {
      Made made = hops(fps);
      const std::size_t third = made.samples.size() / 3;
      for (const std::size_t i : {third, 2 * third}) made.samples[i].up_px += leap_cm * px_per_cm;
      leave_out_leaps(made.samples, made.heel_up_px, px_per_cm);
      for (std::size_t i = 0; i < made.samples.size(); ++i) {
        const bool leapt = i == third || i == 2 * third;
        EXPECT_EQ(made.samples[i].seen, !leapt) << fps << " " << leap_cm << " sample " << i << " of " << third;
      }
    }
  }
}

TEST(SteadyFoot, SaysNothingWhereTheHeelWasNotSeen) {
  Made made = hops(120);
  made.samples[100].up_px += 5 * px_per_cm;
  for (auto& up : made.heel_up_px) up.reset();
  leave_out_leaps(made.samples, made.heel_up_px, px_per_cm);
  EXPECT_TRUE(made.samples[100].seen);
  std::vector<ClearanceSample> none;
  leave_out_leaps(none, {}, px_per_cm);
}

}  // namespace
}  // namespace risetrace::sole
