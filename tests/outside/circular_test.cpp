// Directions against scipy.stats and Kluyver's integral: numbers committed with the script that made them, and scipy
// asked again where it is installed.
#include "math/circular.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "place.h"
#include "second_opinion.h"

namespace risetrace {
namespace {

struct Row {
  std::string kind;
  std::vector<double> numbers;
};

std::vector<Row> reference() {
  std::ifstream in(test::source_folder() / "tests/outside/circular_reference.csv");
  std::vector<Row> rows;
  for (std::string line; std::getline(in, line);) {
    if (line.empty() || line.front() == '#') continue;
    std::istringstream cells(line);
    Row row;
    std::getline(cells, row.kind, ',');
    for (std::string cell; std::getline(cells, cell, ',');) row.numbers.push_back(std::stod(cell));
    rows.push_back(row);
  }
  return rows;
}

TEST(OutsideCircular, MeanDirectionsAreThoseOfScipy) {
  int compared = 0;
  for (const Row& row : reference()) {
    if (row.kind != "mean") continue;
    const math::MeanDirection ours = math::mean_direction({row.numbers.begin() + 2, row.numbers.end()});
    EXPECT_NEAR(ours.length, row.numbers[0], 1e-12);
    EXPECT_GT(std::cos(ours.direction_rad - row.numbers[1]), 1 - 1e-12);
    ++compared;
  }
  EXPECT_EQ(compared, 8);
}

TEST(OutsideCircular, RayleighIsKluyversIntegral) {
  int compared = 0;
  double worst_few = 0;
  double worst_exact = 0;
  double worst_many = 0;
  for (const Row& row : reference()) {
    if (row.kind != "rayleigh") continue;
    const int n = static_cast<int>(row.numbers[0]);
    const double off = std::abs(math::rayleigh_p(row.numbers[1], n) - row.numbers[2]);
    double& worst = n <= 4 ? worst_few : n <= 20 ? worst_exact : worst_many;
    worst = std::max(worst, off);
    ++compared;
  }
  EXPECT_EQ(compared, 44);
  EXPECT_LT(worst_few, 1e-6);
  EXPECT_LT(worst_exact, 1e-6);
  EXPECT_LT(worst_many, 1.2e-4);
  RecordProperty("n_3_and_4", std::to_string(1e6 * worst_few) + "e-6");
  RecordProperty("n_to_20", std::to_string(1e9 * worst_exact) + "e-9");
  RecordProperty("n_above_20", std::to_string(1e6 * worst_many) + "e-6");
}

constexpr const char* script = R"(
import sys
import numpy as np
from scipy import stats
a = np.array([float(v) for v in sys.argv[1:]])
print(repr(float(1 - stats.circvar(a))), repr(float(stats.circmean(a, high=np.pi, low=-np.pi))))
)";

TEST(OutsideCircular, ScipyAskedAgain) {
  RISETRACE_NEEDS_SCIPY();
  const test::Script asked(script);
  for (const int n : {2, 6, 25}) {
    std::ostringstream words;
    std::vector<double> angles;
    words.precision(17);
    for (int i = 0; i < n; ++i) {
      angles.push_back(0.7 * std::sin(1.3 * i) + 2.9 + (i % 4) * 6.283185307179586);
      words << ' ' << angles.back();
    }
    const auto theirs = asked.numbers(words.str());
    ASSERT_TRUE(theirs.has_value());
    ASSERT_EQ(theirs->size(), 2U);
    const math::MeanDirection ours = math::mean_direction(angles);
    EXPECT_NEAR(ours.length, (*theirs)[0], 1e-12) << n;
    EXPECT_GT(std::cos(ours.direction_rad - (*theirs)[1]), 1 - 1e-12) << n;
  }
}

}  // namespace
}  // namespace risetrace
