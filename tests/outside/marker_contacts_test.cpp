// Times on the ground of recorded steps (BMClab, see the data's own README) from a marker on the forefoot, by the same
// code that times hops, against the force plates under them. Markers in mm are taken for pixels: 10 px a cm.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <optional>
#include <ostream>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "force_plate.h"
#include "hop/find_contacts.h"
#include "hop/witness.h"
#include "place.h"

namespace risetrace {
namespace {

constexpr double rate_hz = 150;

std::vector<double> column(const std::filesystem::path& file, const std::string& name) {
  std::vector<double> out;
  const auto place = test::force_column(file, name);
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  while (place && std::getline(in, line)) {
    std::istringstream cells(line);
    std::string cell;
    for (std::size_t i = 0; i <= *place; ++i) std::getline(cells, cell, ',');
    out.push_back(std::stod(cell));
  }
  return out;
}

// Every `every`th sample from `first` on, as a sticker's track in a picture 2 m high.
sticker::Track track_of(const std::vector<double>& height_mm, std::size_t every, std::size_t first) {
  sticker::Track track;
  track.noise_px = 0.3;
  for (std::size_t i = first; i < height_mm.size(); i += every) {
    // The file's times are rounded to 1 ms; the samples were even.
    track.samples.push_back({static_cast<std::int64_t>(track.samples.size()),
                             static_cast<double>(i) / rate_hz,
                             {0, 2000 - height_mm[i]},
                             true,
                             false,
                             1});
  }
  return track;
}

// One step as a plate felt it (over 20 N), and what is measured of it from one marker: how much later the touchdown and
// the take-off are than the plate's, at 150 Hz.
struct Step {
  const char* name;
  const char* record;
  const char* marker;
  const char* plate;
  double touchdown_late_ms;
  double takeoff_late_ms;
  bool lands_hard = true;  // not the big toe of a walker, which is laid down
};

// NOLINTNEXTLINE(readability-identifier-naming): the name is GoogleTest's
void PrintTo(const Step& step, std::ostream* out) { *out << step.name; }

class RecordedSteps : public testing::TestWithParam<Step> {
 protected:
  void SetUp() override {
    const auto folder = test::data_folder() / "forces";
    const auto forces = folder / (GetParam().record + std::string("_forces.csv"));
    const auto markers = folder / (GetParam().record + std::string("_markers.csv"));
    RISETRACE_NEEDS_DATA(forces);
    RISETRACE_NEEDS_DATA(markers);
    height_mm_ = column(markers, GetParam().marker + std::string("_y_mm"));
    const auto plate = test::force_column(forces, GetParam().plate);
    ASSERT_TRUE(plate);
    const auto all = test::stances(test::read_forces(forces, *plate));
    ASSERT_EQ(all.size(), 1U);
    ASSERT_TRUE(all[0].touchdown_s && all[0].takeoff_s);
    plate_ = {*all[0].touchdown_s, *all[0].takeoff_s};
  }
  // Of the contact whose touchdown is nearest to the plate's.
  [[nodiscard]] std::optional<std::pair<hop::Instant, hop::Instant>> contact(std::size_t every,
                                                                             std::size_t first) const {
    hop::ContactOptions options;
    options.px_per_cm = 10;
    options.witness = hop::Witness::forefoot_sticker;
    const auto all = hop::find_contacts(hop::clearance_of_forefoot(track_of(height_mm_, every, first)), options);
    std::optional<std::pair<hop::Instant, hop::Instant>> nearest;
    for (const hop::Contact& c : all.contacts) {
      if (!c.touchdown || !c.takeoff) continue;
      const double off_s = std::abs(c.touchdown->time_s - plate_.first);
      if (!nearest || off_s < std::abs(nearest->first.time_s - plate_.first)) nearest = {*c.touchdown, *c.takeoff};
    }
    return nearest;
  }

  std::vector<double> height_mm_;
  std::pair<double, double> plate_;
};

// A step is no hop: the heel comes down before the forefoot and the ball leaves before the toes, so a marker on the
// ball is off the ground, or not yet on it, while the plate still feels the foot. The errors are those of the marker's
// place, and the same from step to step, not the code's: hence the 5 ms about what was measured. The plates' samples
// are 3.3 ms (running) and 2.2 ms (walking) apart.
TEST_P(RecordedSteps, AMarkersContactAgainstThePlates) {
  const auto found = contact(1, 0);
  ASSERT_TRUE(found);
  const double touchdown_late_ms = 1000 * (found->first.time_s - plate_.first);
  const double takeoff_late_ms = 1000 * (found->second.time_s - plate_.second);
  RecordProperty("plate_contact_ms", std::to_string(1000 * (plate_.second - plate_.first)));
  RecordProperty("touchdown_late_ms", std::to_string(touchdown_late_ms));
  RecordProperty("takeoff_late_ms", std::to_string(takeoff_late_ms));
  RecordProperty("contact_longer_ms", std::to_string(takeoff_late_ms - touchdown_late_ms));
  EXPECT_NEAR(touchdown_late_ms, GetParam().touchdown_late_ms, 5);
  EXPECT_NEAR(takeoff_late_ms, GetParam().takeoff_late_ms, 5);
  EXPECT_GT(touchdown_late_ms, 0) << "no part of the forefoot is down before the foot is";
}

// Fewer frames (13 and 20 ms apart), whatever their phase: where a forefoot comes down hard its touchdown stays where
// it was to half a frame. Where it is laid down, and where it peels off, as in all these steps, there is no one instant
// to find, and the answer wanders by up to two frames. A hop lands and leaves at some 1 m/s.
TEST_P(RecordedSteps, AtHalfAndAThirdOfTheRate) {
  const auto whole = contact(1, 0);
  ASSERT_TRUE(whole);
  double worst_touchdown_ms = 0;
  double worst_takeoff_ms = 0;
  for (const std::size_t every : {2U, 3U}) {
    for (std::size_t first = 0; first < every; ++first) {
      const auto found = contact(every, first);
      ASSERT_TRUE(found) << every << " " << first;
      const double touchdown_ms = std::abs(found->first.time_s - whole->first.time_s) * 1000;
      worst_touchdown_ms = std::max(worst_touchdown_ms, touchdown_ms);
      worst_takeoff_ms = std::max(worst_takeoff_ms, std::abs(found->second.time_s - whole->second.time_s) * 1000);
    }
  }
  RecordProperty("worst_touchdown_ms", std::to_string(worst_touchdown_ms));
  RecordProperty("worst_takeoff_ms", std::to_string(worst_takeoff_ms));
  EXPECT_LT(worst_touchdown_ms, GetParam().lands_hard ? 7.5 : 40);
  EXPECT_LT(worst_takeoff_ms, 30);
}

INSTANTIATE_TEST_SUITE_P(Plates, RecordedSteps,
                         testing::Values(Step{"RunLeftBall", "run", "l_mt5", "l_vertical_n", 15, -21},
                                         Step{"RunLeftToe", "run", "l_toe", "l_vertical_n", 20, -11},
                                         Step{"RunRightBall", "run", "r_mt5", "r_vertical_n", 8, -14},
                                         Step{"WalkFirstBall", "walk1", "l_mt5", "plate6_vertical_n", 13, -66},
                                         Step{"WalkSecondBall", "walk1", "r_mt5", "plate5_vertical_n", 21, -41},
                                         Step{"WalkThirdBall", "walk1", "l_mt5", "plate3_vertical_n", 22, -46},
                                         Step{"WalkFirstBigToe", "walk1", "l_mt1", "plate6_vertical_n", 25, -4, false},
                                         Step{"WalkSecondBigToe", "walk1", "r_mt1", "plate5_vertical_n", 54, 2, false},
                                         Step{"WalkThirdBigToe", "walk1", "l_mt1", "plate3_vertical_n", 60, 5, false}),
                         [](const auto& of) { return std::string(of.param.name); });

}  // namespace
}  // namespace risetrace
