// Recorded heel markers of a runner and a walker (BMClab, see the data's own README) through the path and the rep
// finder, against scipy's filter and peak finder on the same numbers.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>

#include "path/build_path.h"
#include "place.h"
#include "raise/find_reps.h"
#include "second_opinion.h"

namespace risetrace {
namespace {

constexpr double rate_hz = 150;
constexpr double cutoff_hz = 10;
constexpr double least_rise_cm = 1.5;

std::vector<double> column(const std::filesystem::path& file, const std::string& name) {
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  std::size_t wanted = 0;
  std::istringstream head(line);
  for (std::string cell; std::getline(head, cell, ',') && cell != name;) ++wanted;
  std::vector<double> out;
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::string cell;
    for (std::size_t i = 0; i <= wanted; ++i) std::getline(cells, cell, ',');
    out.push_back(std::stod(cell));
  }
  return out;
}

// Millimetres taken for pixels: x right, and a picture 2 m high whose rows count downwards.
path::Path path_of(const std::vector<double>& x_mm, const std::vector<double>& y_mm) {
  scale::Scale scale;
  scale.from = scale::ScaleFrom::given;
  scale.px_per_cm = 10;
  scale.cm_from_px = math::Homography{{0.1, 0, 0, 0, -0.1, 200, 0, 0, 1}};
  path::PathBuilder builder(scale, {cutoff_hz, rate_hz});
  path::Path out;
  for (std::size_t i = 0; i < y_mm.size(); ++i) {
    // The file's times are rounded to 1 ms; the samples were even.
    const sticker::TrackSample sample{
        static_cast<std::int64_t>(i), static_cast<double>(i) / rate_hz, {x_mm[i], 2000 - y_mm[i]}, true, 1};
    for (const auto& s : builder.push(sample)) out.samples.push_back(s);
  }
  for (const auto& s : builder.finish()) out.samples.push_back(s);
  return out;
}

constexpr const char* read_script = R"(
import csv, sys
import numpy as np
from scipy import signal
rows = list(csv.DictReader(open(sys.argv[1])))
y = np.array([float(r[sys.argv[2]]) for r in rows]) / 10
rate, cutoff = 150.0, 10.0
corrected = rate / np.pi * np.arctan(np.tan(np.pi * cutoff / rate) / (2 ** 0.5 - 1) ** 0.25)
b, a = signal.butter(2, corrected, fs=rate)
smooth = signal.filtfilt(b, a, y, padtype='odd', padlen=30)
)";

struct Marker {
  const char* file;
  const char* heel;
};

class RecordedMarkers : public testing::TestWithParam<Marker> {
 protected:
  void SetUp() override {
    file_ = test::data_folder() / "forces" / GetParam().file;
    RISETRACE_NEEDS_DATA(file_);
    RISETRACE_NEEDS_SCIPY();
    path_ = path_of(column(file_, GetParam().heel + std::string("_x_mm")), column(file_, y_name()));
  }
  [[nodiscard]] std::string y_name() const { return GetParam().heel + std::string("_y_mm"); }
  [[nodiscard]] std::optional<std::vector<double>> asked(const std::string& script) const {
    std::ostringstream arguments;
    arguments << file_ << ' ' << y_name();  // a path is written in quotes
    return test::Script(read_script + script).numbers(arguments.str());
  }

  std::filesystem::path file_;
  path::Path path_;
};

TEST_P(RecordedMarkers, HeightIsThatOfFiltfilt) {
  const auto theirs = asked("print(*(repr(float(v)) for v in smooth))\n");
  ASSERT_TRUE(theirs.has_value());
  ASSERT_EQ(theirs->size(), path_.samples.size());
  const auto [least, greatest] = std::minmax_element(theirs->begin(), theirs->end());
  const double allowed_cm = 1e-4 * (*greatest - *least);
  double worst_cm = 0;
  for (std::size_t i = 0; i < theirs->size(); ++i) {
    worst_cm = std::max(worst_cm, std::abs(path_.samples[i].up_cm - (*theirs)[i]));
  }
  EXPECT_LT(worst_cm, allowed_cm);
  RecordProperty("worst_of_range", std::to_string(1e-4 * worst_cm / allowed_cm));
}

// Both sides of a peak must fall by the least rise: scipy's prominence. Its window is the whole record.
TEST_P(RecordedMarkers, RisesAreWhereFindPeaksFindsThem) {
  const auto peaks = asked("print(*(float(i) / rate for i in signal.find_peaks(smooth, prominence=1.5)[0]))\n");
  ASSERT_TRUE(peaks.has_value());
  model::RaiseProtocol rules;
  rules.step_across_cm = 1000;  // these are steps, and wanted
  rules.end_fraction = 0.75;
  rules.end_after = 2;
  rules.reference_reps = 3;
  rules.beat_bpm = 60;
  rules.least_rise_cm = least_rise_cm;
  rules.onset_of_rise = 0.03;
  rules.not_lowered_of_reference = 0.2;
  rules.end_pause_s = 5;
  rules.on_beat_tolerance = 0.15;
  raise::RepFinder finder(rules);
  for (const auto& s : path_.samples) finder.push(s);
  const raise::RepSet set = finder.finish();
  ASSERT_EQ(set.reps.size(), peaks->size());
  EXPECT_GE(set.reps.size(), 1u);
  RecordProperty("rises", static_cast<int>(set.reps.size()));
  for (std::size_t i = 0; i < peaks->size(); ++i) {
    EXPECT_NEAR(set.reps[i].peak_s, (*peaks)[i], 1.5 / rate_hz) << GetParam().file << " rise " << i + 1;
  }
}

INSTANTIATE_TEST_SUITE_P(Heels, RecordedMarkers,
                         testing::Values(Marker{"run_markers.csv", "r_heel"}, Marker{"run_markers.csv", "l_heel"},
                                         Marker{"walk1_markers.csv", "r_heel"}, Marker{"walk1_markers.csv", "l_heel"}),
                         [](const auto& of) {
                           const std::string file = of.param.file;
                           return file.substr(0, file.find('_')) + (of.param.heel[0] == 'r' ? "Right" : "Left");
                         });

}  // namespace
}  // namespace risetrace
