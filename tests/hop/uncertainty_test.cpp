// The stated uncertainties held against the errors they stand for.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "hop/judge_hops.h"
#include "made_hops.h"
#include "math/statistics.h"

namespace risetrace::hop {
namespace {

using test::Plan;
using test::protocol;

// Events picked to frames of T: first frame in contact, first frame off the ground, each half a frame late, put back.
Contacts picked(const Contacts& truth, double frame_s, double phase_s) {
  Contacts out = truth;
  const auto pick = [&](std::optional<Instant>& instant) {
    if (!instant) return;
    instant->time_s = (std::ceil((instant->time_s - phase_s) / frame_s) - 0.5) * frame_s + phase_s;
    instant->time_s_u = frame_s / std::sqrt(12);
  };
  for (Contact& contact : out.contacts) {
    pick(contact.touchdown);
    pick(contact.takeoff);
  }
  return out;
}

// A runner whose contacts and flights vary by a few per cent (rebound timing: 1.4-5.6 %, published).
Plan uneven(std::mt19937_64& random, double contact_sd_s, double flight_sd_s, int hops, double contact_s = 0.25) {
  std::normal_distribution<double> normal;
  Plan plan;
  for (int i = 0; i < hops; ++i)
    plan.hop(contact_s + contact_sd_s * normal(random), 0.15 + flight_sd_s * normal(random));
  return plan;
}

HopSet judged(const Contacts& contacts) { return judge_hops(contacts, {}, {}, protocol()); }

// Event SD T / sqrt 12, interval SD T / sqrt 6, correlation of a contact with the flight before it -0.5 (derived).
TEST(Uncertainty, OfSingleHopsFromPickedFrames) {
  std::mt19937_64 random(1);
  std::uniform_real_distribution<double> anywhere(0, 1);
  for (const double rate_hz : {60.0, 120.0, 240.0}) {
    const double frame_s = 1 / rate_hz;
    double contact_2 = 0;
    double flight_2 = 0;
    double both = 0;
    int n = 0;
    for (int trial = 0; trial < 300; ++trial) {
      const Contacts truth = contacts_of(uneven(random, 0.01, 0.006, 30));
      const HopSet exact = judged(truth);
      const HopSet seen = judged(picked(truth, frame_s, anywhere(random) * frame_s));
      ASSERT_EQ(exact.hops.size(), seen.hops.size());
      for (std::size_t i = 0; i < seen.hops.size(); ++i) {
        const double contact = *seen.hops[i].contact_ms - *exact.hops[i].contact_ms;
        const double flight = *seen.hops[i].flight_ms - *exact.hops[i].flight_ms;
        contact_2 += contact * contact;
        flight_2 += flight * flight;
        both += contact * flight;
        ++n;
        EXPECT_NEAR(*seen.hops[i].contact_ms_u, 1000 * frame_s / std::sqrt(6), 1e-9);
      }
    }
    EXPECT_NEAR(std::sqrt(contact_2 / n) / (1000 * frame_s / std::sqrt(6)), 1, 0.03) << rate_hz;
    EXPECT_NEAR(std::sqrt(flight_2 / n) / (1000 * frame_s / std::sqrt(6)), 1, 0.03) << rate_hz;
    EXPECT_NEAR(both / std::sqrt(contact_2 * flight_2), -0.5, 0.03) << rate_hz;
  }
}

// The share of times in which the median's truth lies within the stated u and twice it.
struct Cover {
  double within_1 = 0;
  double within_2 = 0;
  double error_rms_ms = 0;
  double mean_u_ms = 0;
};

template <typename Make>
Cover cover(Make make, int trials) {
  Cover out;
  for (int trial = 0; trial < trials; ++trial) {
    const auto [truth_ms, set] = make();
    const double error = *set.contact_ms - truth_ms;
    out.within_1 += std::abs(error) <= *set.contact_ms_u ? 1.0 / trials : 0;
    out.within_2 += std::abs(error) <= 2 * *set.contact_ms_u ? 1.0 / trials : 0;
    out.error_rms_ms += error * error / trials;
    out.mean_u_ms += *set.contact_ms_u / trials;
  }
  out.error_rms_ms = std::sqrt(out.error_rms_ms);
  return out;
}

void record(const std::string& name, const Cover& c) {
  testing::Test::RecordProperty(name, std::to_string(c.within_1) + " " + std::to_string(c.within_2) + " rms " +
                                          std::to_string(c.error_rms_ms) + " u " + std::to_string(c.mean_u_ms));
}

// Against the runner's own middle value, of which these hops are a sample.
TEST(Uncertainty, OfTheMedianCoversTheRunnersMiddle) {
  std::mt19937_64 random(2);
  std::uniform_real_distribution<double> anywhere(0, 1);
  for (const double rate_hz : {60.0, 240.0}) {
    for (const double sd_s : {0.004, 0.010}) {
      const Cover c = cover(
          [&] {
            const double contact_s = 0.24 + 0.02 * anywhere(random);  // not at one place between whole frames
            const Contacts truth = contacts_of(uneven(random, sd_s, 0.006, 20, contact_s));
            return std::pair{1000 * contact_s, judged(picked(truth, 1 / rate_hz, anywhere(random) / rate_hz))};
          },
          2000);
      record(
          "fps_" + std::to_string(static_cast<int>(rate_hz)) + "_sd_" + std::to_string(static_cast<int>(1000 * sd_s)),
          c);
      // At 60 frames per second the error is mostly the frame's, evenly spread: 58 % of those lie within one u, not 68
      // %.
      EXPECT_GT(c.within_1, rate_hz > 100 ? 0.66 : 0.53) << rate_hz << " " << sd_s;
      EXPECT_GT(c.within_2, 0.94) << rate_hz << " " << sd_s;
      EXPECT_NEAR(c.mean_u_ms / c.error_rms_ms, 1, 0.08) << rate_hz << " " << sd_s;
    }
  }
}

// 150 per minute at 240 frames per second is exactly 96 frames: a perfectly regular hopper meets the frames alike every
// time, the error never averages out, and an uncertainty that falls with sqrt(n) would be wrong.
TEST(Uncertainty, AHopperLockedToTheFrames) {
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> anywhere(0, 1);
  const double frame_s = 1.0 / 240;
  const Cover c = cover(
      [&] {
        // A contact time that is no whole number of frames, so that each clip errs by another amount.
        const double contact_s = 0.24 + anywhere(random) * frame_s;
        const Contacts truth = contacts_of(Plan().hop(contact_s, 0.4 - contact_s, 43));
        return std::pair{1000 * contact_s, judged(picked(truth, frame_s, anywhere(random) * frame_s))};
      },
      3000);
  record("locked", c);
  // As sure as a single hop, and no surer: T / sqrt 6 = 1.70 ms.
  EXPECT_NEAR(c.error_rms_ms, 1000 * frame_s / std::sqrt(6), 0.08);
  EXPECT_NEAR(c.mean_u_ms, 1000 * frame_s / std::sqrt(6), 1e-6);
}

// At other rates a perfectly even hopper's contacts take two whole numbers of frames, and the median is one of them.
TEST(Uncertainty, APerfectlyEvenHopperAtAnyRate) {
  std::mt19937_64 random(30);
  std::uniform_real_distribution<double> anywhere(0, 1);
  const double frame_s = 1.0 / 240;
  const Cover c = cover(
      [&] {
        const double period_s = 0.38 + 0.04 * anywhere(random);
        const double contact_s = 0.24 + anywhere(random) * frame_s;
        const Contacts truth = contacts_of(Plan().hop(contact_s, period_s - contact_s, 43));
        return std::pair{1000 * contact_s, judged(picked(truth, frame_s, anywhere(random) * frame_s))};
      },
      3000);
  record("any_rate", c);
  EXPECT_NEAR(c.error_rms_ms, 1000 * frame_s / std::sqrt(12), 0.15);
  EXPECT_GT(c.mean_u_ms, c.error_rms_ms);
  EXPECT_LT(c.mean_u_ms, 1.35 * c.error_rms_ms);
}

// 5 ms an event, of which 3 ms in common: sqrt(4^2 + 4^2 + (2 x 3)^2).
TEST(Uncertainty, OfOneHopTheCommonPartCountsTwice) {
  Contacts contacts = contacts_of(Plan().hop(0.25, 0.15, 5), 0.005);
  contacts.common_u_s = 0.003;
  for (const Hop& hop : judged(contacts).hops) {
    EXPECT_NEAR(*hop.contact_ms_u, std::sqrt(68), 1e-9);
    EXPECT_NEAR(*hop.flight_ms_u, std::sqrt(68), 1e-9);
  }
}

TEST(Uncertainty, TheCommonPartStays) {
  std::mt19937_64 random(4);
  std::normal_distribution<double> normal;
  const double common_s = 0.003;
  const double own_s = 0.002;
  const Cover c = cover(
      [&] {
        const Contacts truth = contacts_of(uneven(random, 0.006, 0.004, 40));
        Contacts seen = truth;
        seen.common_u_s = common_s;
        const double common = common_s * normal(random);  // a wrong floor: touchdowns early, take-offs late
        for (Contact& contact : seen.contacts) {
          for (auto* instant : {&contact.touchdown, &contact.takeoff}) {
            if (!*instant) continue;
            (*instant)->time_s += (instant == &contact.touchdown ? -common : common) + own_s * normal(random);
            (*instant)->time_s_u = std::hypot(common_s, own_s);
          }
        }
        return std::pair{250.0, judged(seen)};
      },
      2000);
  record("common", c);
  EXPECT_NEAR(c.mean_u_ms / c.error_rms_ms, 1, 0.08);
  EXPECT_NEAR(c.within_2, 0.954, 0.02);
}

}  // namespace
}  // namespace risetrace::hop
