// One event from the clearances about it: the hinge of a floor and a parabola.
#include "hop/fit_event.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>
#include <vector>

namespace risetrace::hop {
namespace {

constexpr double px_per_cm = 10;
constexpr double gravity_px_s2 = 980.665 * px_per_cm;  // standard gravity, CGPM 1901

// `up_px` of the time after the event, into the air positive; a frame every `step_s`, the event `at` of a step after
// one of them. In order of time for either kind of event.
struct Filmed {
  std::vector<EventSample> samples;
  EventFrame frame;
};

Filmed filmed(const std::function<double(double)>& up_px, bool takeoff, double step_s, double at, double noise_px = 0,
              unsigned seed = 1) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, 1);
  Filmed out;
  const double window_s = 0.05;
  const int beside = static_cast<int>(std::floor(window_s / step_s));
  for (int i = -beside; i <= beside; ++i) {
    const double after = (i - at) * step_s;
    const double up = up_px(after);
    out.samples.push_back(
        {takeoff ? after : -after, up + noise_px * normal(random), std::max(0.1, noise_px), up > 2.5});
  }
  if (!takeoff) std::reverse(out.samples.begin(), out.samples.end());
  out.frame.takeoff = takeoff;
  out.frame.earliest_s = -2.5 * step_s;
  out.frame.latest_s = 2.5 * step_s;
  out.frame.step_s = step_s;
  out.frame.contact_s = 0.2;
  out.frame.px_per_cm = px_per_cm;
  out.frame.gravity_px_s2 = gravity_px_s2;
  return out;
}

// Where between two frames an event may lie, as a part of the step.
std::vector<double> phases(int count) {
  std::vector<double> all;
  all.reserve(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) all.push_back((i + 0.3) / count);
  return all;
}

double hinge(double after_s) { return after_s < 0 ? 0 : 980.0 * after_s - gravity_px_s2 * after_s * after_s / 2; }

TEST(FitEvent, FindsTheHingeAtAnyPhaseOfTheFrames) {
  for (const double fps : {60.0, 120.0, 240.0}) {
    for (const bool takeoff : {true, false}) {
      for (const double at : phases(14)) {
        const Filmed film = filmed(hinge, takeoff, 1 / fps, at);
        const auto fit = fit_event(film.samples, film.frame);
        ASSERT_TRUE(fit);
        EXPECT_NEAR(fit->time_s, 0, 3e-5) << fps << " " << at;
        EXPECT_NEAR(fit->speed_px_s, 980, 10);
        EXPECT_NEAR(fit->bend_px_s2, -gravity_px_s2, 0.05 * gravity_px_s2);
        EXPECT_LT(fit->misfit, 0.1);
      }
    }
  }
}

// The uncertainty is that of the instant: over many noisy pictures of one event it is about their spread.
TEST(FitEvent, SaysHowSureItIs) {
  double sum = 0;
  double squares = 0;
  double stated = 0;
  constexpr int tries = 300;
  for (int i = 0; i < tries; ++i) {
    const Filmed film = filmed(hinge, i % 2 == 0, 1.0 / 120, 0.37, 0.4, static_cast<unsigned>(i + 1));
    const auto fit = fit_event(film.samples, film.frame);
    ASSERT_TRUE(fit);
    sum += fit->time_s;
    squares += fit->time_s * fit->time_s;
    stated += fit->time_s_u * fit->time_s_u;
  }
  const double rms_s = std::sqrt(squares / tries);
  const double stated_s = std::sqrt(stated / tries);
  RecordProperty("rms_us", std::to_string(1e6 * rms_s));
  RecordProperty("stated_us", std::to_string(1e6 * stated_s));
  EXPECT_LT(std::abs(sum / tries), 3 * rms_s / std::sqrt(tries) + 2e-5);
  EXPECT_GT(stated_s, 0.8 * rms_s);
  EXPECT_LT(stated_s, 1.6 * rms_s);
}

TEST(FitEvent, AGivingSoleDoesNotMoveTheLanding) {
  const auto giving = [](double after_s) {
    return after_s >= 0 ? hinge(after_s) : -4 * std::sin(M_PI * std::min(1.0, -after_s / 0.2));
  };
  for (const double at : phases(9)) {
    const Filmed film = filmed(giving, false, 1.0 / 120, at);
    const auto fit = fit_event(film.samples, film.frame);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->time_s, 0, 3e-4) << at;
  }
}

// A leaving foot's push fades evenly over `soft` (the speed is missing by (1 - t/soft)^2): told of it, the fit finds
// when it began to leave; not told, it is late by a third of it, since so much of the way is lost.
TEST(FitEvent, ASoftTakeoffIsFoundOnceItsSoftnessIsKnown) {
  constexpr double soft = 0.012;
  const auto leaving = [](double t) {
    if (t < 0) return 0.0;
    const double u = std::min(1.0, t / soft);
    const double lost = soft / 3 * (1 - std::pow(1 - u, 3));
    return 980 * (t - lost) - gravity_px_s2 * t * t / 2;
  };
  for (const double at : phases(9)) {
    Filmed film = filmed(leaving, true, 1.0 / 240, at);
    const auto late = fit_event(film.samples, film.frame);
    ASSERT_TRUE(late);
    EXPECT_NEAR(late->time_s, soft / 3, soft / 6) << at;
    film.frame.softness_s = soft;
    const auto fit = fit_event(film.samples, film.frame);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->time_s, 0, 1e-4) << at;
    EXPECT_LT(fit->loss, late->loss);
  }
}

// A frame shows the mean over its exposure, also of a hinge.
TEST(FitEvent, AnExposureThatIsKnownDoesNotMoveTheEvent) {
  constexpr double exposure = 1.0 / 130;
  const auto exposed = [](double t) {
    double sum = 0;
    for (int i = 0; i < 64; ++i) sum += hinge(t + exposure * ((i + 0.5) / 64 - 0.5));
    return sum / 64;
  };
  for (const double at : phases(14)) {
    Filmed film = filmed(exposed, at < 0.5, 1.0 / 120, at);
    film.frame.exposure_s = exposure;
    const auto fit = fit_event(film.samples, film.frame);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->time_s, 0, 1e-4) << at;
  }
}

TEST(FitEvent, OneWildSampleDoesNotPullFar) {
  Filmed film = filmed(hinge, true, 1.0 / 240, 0.4);
  for (auto& s : film.samples) {
    if (std::abs(s.time_s - 0.03) < 0.002) s.up_px += 12;
  }
  const auto fit = fit_event(film.samples, film.frame);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->time_s, 0, 5e-4);
}

TEST(FitEvent, NeedsGroundAndAir) {
  Filmed film = filmed(hinge, true, 1.0 / 60, 0.5);
  EXPECT_FALSE(fit_event({}, film.frame));
  std::vector<EventSample> air;
  std::vector<EventSample> ground;
  for (const auto& s : film.samples) (s.in_air ? air : ground).push_back(s);
  ASSERT_GE(air.size(), 2U);
  EXPECT_FALSE(fit_event(air, film.frame));
  EXPECT_FALSE(fit_event(ground, film.frame));
  ground.push_back(air[0]);
  EXPECT_FALSE(fit_event(ground, film.frame)) << "one sample in the air has no speed";
  ground.push_back(air[1]);
  EXPECT_TRUE(fit_event(ground, film.frame));
}

}  // namespace
}  // namespace risetrace::hop
