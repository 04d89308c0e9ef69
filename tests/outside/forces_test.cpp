// Recorded forces (BMClab, see the data's own README): the reference for times on the ground, and a jump's height two
// ways.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/gravity.h"
#include "force_plate.h"
#include "hop/judge_hops.h"
#include "hop/recoil.h"
#include "model/read_models.h"
#include "place.h"

namespace risetrace {
namespace {

using test::Stance;

std::vector<Stance> stances_of(const std::filesystem::path& file, const std::string& column) {
  const auto place = test::force_column(file, column);
  return place ? stances(test::read_forces(file, *place)) : std::vector<Stance>{};
}

// At > 20 N, as the data's README tells: right 0.057-0.300 s (243 ms), left 0.403-0.667 s (263 ms). Samples are 3.3 ms
// apart, the README's times rounded to a millisecond.
TEST(RecordedForces, Running) {
  const auto file = test::data_folder() / "forces/run_forces.csv";
  RISETRACE_NEEDS_DATA(file);
  const auto right = stances_of(file, "r_vertical_n");
  const auto left = stances_of(file, "l_vertical_n");
  ASSERT_EQ(right.size(), 1U);
  ASSERT_EQ(left.size(), 1U);
  EXPECT_NEAR(*right[0].touchdown_s, 0.057, 5e-4);
  EXPECT_NEAR(*right[0].takeoff_s, 0.300, 5e-4);
  EXPECT_NEAR(*left[0].touchdown_s, 0.403, 5e-4);
  EXPECT_NEAR(*left[0].takeoff_s, 0.667, 5e-4);
}

// The README: "e.g. plate 5 0.764-1.407 s"; its own samples at > 20 N are 0.762 and 1.404, one sample (2.2 ms) earlier.
TEST(RecordedForces, Walking) {
  const auto file = test::data_folder() / "forces/walk1_forces.csv";
  RISETRACE_NEEDS_DATA(file);
  const auto fifth = stances_of(file, "plate5_vertical_n");
  ASSERT_EQ(fifth.size(), 1U);
  EXPECT_NEAR(*fifth[0].touchdown_s, 0.764, 0.0028);
  EXPECT_NEAR(*fifth[0].takeoff_s, 1.407, 0.0028);
  int whole = 0;
  for (int plate = 1; plate <= 7; ++plate) {
    for (const Stance& s : stances_of(file, "plate" + std::to_string(plate) + "_vertical_n")) {
      whole += s.touchdown_s && s.takeoff_s ? 1 : 0;
    }
  }
  EXPECT_EQ(whole, 3);
}

class RecordedJump : public testing::Test {
 protected:
  void SetUp() override {
    const auto file = test::data_folder() / "forces/jump1_force.csv";
    RISETRACE_NEEDS_DATA(file);
    record_ = test::read_forces(file, 1);
    stances_ = test::stances(record_);
  }
  test::ForceRecord record_;
  std::vector<Stance> stances_;
};

TEST_F(RecordedJump, OneFlightAndNoneAtTheChatter) {
  EXPECT_EQ(test::stances(record_, 20, 0).size(), 3U) << "the bare threshold's, which this data was chosen to fool";
  ASSERT_EQ(stances_.size(), 2U);
  EXPECT_NEAR(*stances_[1].touchdown_s - *stances_[0].takeoff_s, 0.551, 5e-4);  // the README's flight
}

// Height by the time in the air against height by impulse: the plate's force less the weight, integrated from standing
// still to take-off, gives the speed of the body's centre there; v^2 / 2g is its rise. The two need not be the same (a
// jumper lands with bent legs and so flies longer), usually they are within some cm.
TEST_F(RecordedJump, HeightByFlightAndByImpulse) {
  ASSERT_EQ(stances_.size(), 2U);
  const double takeoff_s = *stances_[0].takeoff_s;
  const double flight_s = *stances_[1].touchdown_s - takeoff_s;
  const double by_flight_m = hop::flight_height_m(flight_s);
  EXPECT_NEAR(by_flight_m, 9.80665 * flight_s * flight_s / 8, 1e-15);
  // The stillest second before take-off gives the weight, its end the start of the integral.
  const double step_s = record_.time_s[1] - record_.time_s[0];
  const auto window = static_cast<std::size_t>(std::lround(0.5 / step_s));
  double stillest = 1e300;
  double weight_n = 0;
  std::size_t from = 0;
  for (std::size_t i = 0; i + window < record_.time_s.size() && record_.time_s[i + window] < takeoff_s - 0.4; ++i) {
    if (record_.time_s[i] < *stances_[0].touchdown_s + 0.5) continue;
    double sum = 0;
    double squares = 0;
    for (std::size_t j = i; j < i + window; ++j) {
      sum += record_.force_n[j];
      squares += record_.force_n[j] * record_.force_n[j];
    }
    const double mean = sum / static_cast<double>(window);
    const double spread = squares / static_cast<double>(window) - mean * mean;
    if (spread > stillest) continue;
    stillest = spread;
    weight_n = mean;
    from = i + window;
  }
  ASSERT_GT(weight_n, 300);
  double impulse_ns = 0;
  for (std::size_t i = from; record_.time_s[i] < takeoff_s; ++i) impulse_ns += (record_.force_n[i] - weight_n) * step_s;
  const double speed_mps = impulse_ns / (weight_n / gravity_m_s2);
  const double by_impulse_m = speed_mps * speed_mps / (2 * gravity_m_s2);
  RecordProperty("by_flight_cm", std::to_string(100 * by_flight_m));
  RecordProperty("by_impulse_cm", std::to_string(100 * by_impulse_m));
  RecordProperty("weight_n", std::to_string(weight_n));
  EXPECT_NEAR(by_flight_m, by_impulse_m, 0.04);
}

// The plate's stances through the whole judging, with the shipped rules: a jump is no run of hops, and its long stay
// afterwards is no hop.
TEST_F(RecordedJump, ThroughTheJudging) {
  const auto models = model::read_models(test::source_folder() / "models");
  ASSERT_TRUE(models.ok());
  hop::Contacts contacts;
  const double step_s = record_.time_s[1] - record_.time_s[0];
  for (const Stance& s : stances_) {
    const auto instant = [&](const std::optional<double>& t_s) -> std::optional<hop::Instant> {
      if (!t_s) return std::nullopt;
      return hop::Instant{*t_s, step_s / std::sqrt(12), std::lround(*t_s / step_s), hop::Witness::sole};
    };
    contacts.contacts.push_back({instant(s.touchdown_s), instant(s.takeoff_s), false, ""});
  }
  const hop::HopSet set = hop::judge_hops(contacts, {}, {}, models->hop);
  ASSERT_EQ(set.hops.size(), 2U);
  EXPECT_EQ(set.count, 0);
  EXPECT_NEAR(*set.hops[1].flight_ms, 551, 0.5);
  EXPECT_NEAR(*set.hops[1].height_cm, 100 * hop::flight_height_m(0.551), 0.1);
  EXPECT_EQ(set.hops[1].standing, hop::Standing::no_hop);
}

}  // namespace
}  // namespace risetrace
