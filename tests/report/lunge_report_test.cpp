// A lunge in the report page, the summary and the result.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/pdf_check.h"
#include "report/report_pdf.h"
#include "report/result_json.h"
#include "report/sample_measurement.h"
#include "report/schema_check.h"
#include "report/summary.h"
#include "report/trace_csv.h"

namespace risetrace::report {
namespace {

using testing::HasSubstr;
using testing::Not;

// Every number is made up here.
measure::Measurement sample_lunge(bool whole = true) {
  measure::Measurement m;
  m.clip.file = "left-lunge.mp4";
  m.clip.width_px = 480;
  m.clip.height_px = 640;
  m.clip.frame_rate_hz = 30;
  m.clip.duration_s = 6;
  m.clip.frames = 180;
  m.asked.test = Test::lunge;
  m.asked.side = Side::left;
  m.asked.angles.hold_within_deg = 1;
  m.asked.angles.hold_least_s = 0.5;
  if (whole) m.scale = test::sample_scale();
  m.angles.emplace();
  m.angles->forward = 1;
  m.angles->upright_by_card = whole;
  m.leg.ankle.emplace();
  m.leg.knee.emplace();
  for (std::int64_t frame = 0; frame < 180; ++frame) {
    const double time_s = static_cast<double>(frame) / 30;
    const double share = time_s < 2 ? 0 : time_s < 3 ? time_s - 2 : 1;
    const ankle::LegPlaces places{{200, 560}, {210 + 120 * share, 330 + 30 * share}, {}};
    m.angles->samples.push_back({frame, time_s, places, 3.2 + 35.3 * share, std::nullopt});
    m.leg.ankle->samples.push_back({frame, time_s, places.ankle_px, true, false, 0.9});
    m.leg.knee->samples.push_back({frame, time_s, places.knee_px, true, false, 0.9});
  }
  m.track = *m.leg.knee;
  m.forward = 1;
  ankle::Lunge lunge;
  lunge.shank_deg = 38.5;
  lunge.shank_deg_u = 2.7;
  lunge.hold_from_s = 3.0;
  lunge.hold_to_s = 5.4;
  lunge.held = true;
  if (whole) {
    lunge.standing_shank_deg = 3.2;
    lunge.change_deg = 35.3;
    lunge.change_deg_u = 1.5;
    lunge.toe_to_wall_cm = 9.7;
    lunge.toe_to_wall_cm_u = 0.6;
  }
  m.lunge = lunge;
  m.lunge_still = {120, 4.0, {}};
  m.lunge_still.picture.width = 48;
  m.lunge_still.picture.height = 64;
  m.lunge_still.picture.grey.assign(48 * 64, 160);
  return m;
}

class LungeReport : public test::PdfTest {
 protected:
  std::string words_of(const measure::Measurement& m) {
    const auto wrote = write_report(file_, m, "0.1.0", "2026-03-14");
    EXPECT_TRUE(wrote);
    return words();
  }
};

TEST_F(LungeReport, SaysWhatWasMeasuredAndCautionsFirst) {
  const std::string text = words_of(sample_lunge());
  for (const char* word : {"Weight-bearing lunge", "Left leg", "38.5°", "± 2.7°", "3.2°", "35.3°", "± 1.5°", "2.4",
                           "9.7", "± 0.6 cm", "the card", "Powden"}) {
    EXPECT_THAT(text, HasSubstr(word));
  }
  EXPECT_LT(text.find("Not a medical device"), text.find("38.5"));
  EXPECT_THAT(tool("pdfinfo"), testing::ContainsRegex("Pages: +1"));
}

TEST_F(LungeReport, SaysWhatWasNotMeasured) {
  const std::string text = words_of(sample_lunge(false));
  EXPECT_THAT(text, HasSubstr("not seen"));
  EXPECT_THAT(text, HasSubstr("not pointed out"));
  EXPECT_THAT(text, HasSubstr("by the picture"));
  EXPECT_THAT(text, Not(HasSubstr("9.7")));
}

TEST(LungeSummary, FitsATerminalAndSaysTheSame) {
  const std::string whole = summary(sample_lunge(), false);
  EXPECT_THAT(whole, HasSubstr("Shank 38.5 ± 2.7° from the vertical, left leg"));
  EXPECT_THAT(whole, HasSubstr("9.7 ± 0.6 cm"));
  const std::string less = summary(sample_lunge(false), false);
  EXPECT_THAT(less, HasSubstr("not measured"));
  EXPECT_THAT(less, HasSubstr("Standing  not seen"));
}

TEST(LungeResult, FitsTheSchemaAndWhatIsNotKnownIsNull) {
  for (const bool whole : {true, false}) {
    const std::string text = result_json(sample_lunge(whole), "0.1.0");
    EXPECT_EQ(test::misfit("result.schema.json", text), "");
    EXPECT_THAT(text, HasSubstr(whole ? "\"toe_to_wall_cm\": 9.7" : "\"toe_to_wall_cm\": null"));
    EXPECT_THAT(text, HasSubstr(whole ? "\"upright_from\": \"card\"" : "\"upright_from\": \"picture\""));
  }
}

TEST(LungeTrace, HasARowAFrame) {
  const std::string trace = trace_csv(sample_lunge());
  EXPECT_EQ(std::count(trace.begin(), trace.end(), '\n'), 181);
  EXPECT_THAT(trace, HasSubstr("\r\n0,0.000000,200.0000,560.0000,1,210.0000,330.0000,1,3.200\r\n"));
}

}  // namespace
}  // namespace risetrace::report
