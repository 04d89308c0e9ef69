#include "report/trace_csv.h"

#include <gtest/gtest.h>

#include <sstream>

#include "report/sample_measurement.h"

namespace risetrace::report {
namespace {

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line) {
    if (c == '\r') break;
    if (c == ',') {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

std::vector<std::vector<std::string>> table_of(const std::string& csv) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream in(csv);
  for (std::string line; std::getline(in, line);) {
    EXPECT_TRUE(line.ends_with('\r'));  // RFC 4180: CRLF
    rows.push_back(cells_of(line));
  }
  return rows;
}

TEST(TraceCsv, HasARowAFrameAndHeightsAboveStanding) {
  const measure::Measurement m = test::sample_measurement();
  const auto rows = table_of(trace_csv(m));
  ASSERT_EQ(rows.size(), m.track.samples.size() + 1);
  EXPECT_EQ(rows[0], (std::vector<std::string>{"frame", "time_s", "x_px", "y_px", "seen", "fit", "height_cm",
                                               "height_raw_cm", "across_cm", "rep", "shank_deg", "knee_deg", "exact_s",
                                               "exact_up_cm", "exact_across_cm"}));
  for (const auto& row : rows) EXPECT_EQ(row.size(), 15U);
  const auto peak_frame = static_cast<std::size_t>(std::lround(m.raises->reps[3].peak_s * 60));
  const auto& peak = rows[peak_frame + 1];
  EXPECT_EQ(peak[0], std::to_string(peak_frame));
  EXPECT_NEAR(std::stod(peak[6]), m.raises->reps[3].height_cm, 0.05);
  EXPECT_EQ(peak[9], "4");
  EXPECT_EQ(rows[1][9], "");  // before the first rep
  EXPECT_EQ(peak[11], "");    // no stickers on the leg
  EXPECT_EQ(std::stod(peak[12]), m.path.samples[peak_frame].time_s) << "read back, the same number to the last bit";
  EXPECT_EQ(std::stod(peak[13]), m.path.samples[peak_frame].up_cm);
  EXPECT_EQ(std::stod(peak[14]), m.path.samples[peak_frame].across_cm);
}

TEST(TraceCsv, BridgedFramesHaveNoRawHeight) {
  const auto rows = table_of(trace_csv(test::sample_measurement()));
  const auto& bridged = rows[405 + 1];
  EXPECT_EQ(bridged[4], "0");
  EXPECT_NE(bridged[6], "");
  EXPECT_EQ(bridged[7], "");
  EXPECT_EQ(bridged[8], "");
}

TEST(TraceCsv, WithoutAScaleOnlyPixels) {
  const measure::Measurement m = test::sample_without_scale();
  const auto rows = table_of(trace_csv(m));
  ASSERT_EQ(rows.size(), m.track.samples.size() + 1);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    EXPECT_NE(rows[i][2], "");
    for (std::size_t cell = 6; cell < 10; ++cell) EXPECT_EQ(rows[i][cell], "");
  }
}

}  // namespace
}  // namespace risetrace::report
