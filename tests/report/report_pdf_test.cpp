#include "report/report_pdf.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "report/pdf_check.h"
#include "report/plot.h"
#include "report/sample_measurement.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;
using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;

class ReportPdf : public test::PdfTest {};

TEST_F(ReportPdf, IsOneA4PageForAnyNumberOfReps) {
  for (const int reps : {6, 12, 45, 70, 150}) {
    measure::Measurement m = test::sample_measurement(reps);
    for (int i = 0; i < 40; ++i)
      m.notes.push_back({"made-up", "One more thing that a careful reader should know.", 1.0});
    ASSERT_TRUE(write_report(file_, m, "0.1.0", "2026-03-14"));
    const std::string facts = tool("pdfinfo");
    EXPECT_THAT(facts, ContainsRegex("Pages: +1\n"));
    EXPECT_THAT(facts, HasSubstr("(A4)"));
    // Nothing may run off the page: every word's box lies inside the margins.
    const std::string boxes = test::output_of("pdftotext -bbox '" + file_.string() + "' -", file_);
    int boxes_seen = 0;
    for (std::size_t at = boxes.find("<word "); at != std::string::npos;
         at = boxes.find("<word ", at + 1), ++boxes_seen) {
      double x0 = 0;
      double y0 = 0;
      double x1 = 0;
      double y1 = 0;
      ASSERT_EQ(std::sscanf(boxes.c_str() + at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &x0, &y0,
                            &x1, &y1),
                4);
      EXPECT_GE(x0, 28) << boxes.substr(at, 110);
      EXPECT_LE(x1, 595.3 - 28) << boxes.substr(at, 110);
      EXPECT_LE(y1, 841.9 - 20) << boxes.substr(at, 110);
    }
    EXPECT_GT(boxes_seen, 150);
  }
}

TEST_F(ReportPdf, SaysTheResultTheCautionAndHowItWasMeasured) {
  const measure::Measurement m = test::sample_measurement();
  ASSERT_TRUE(write_report(file_, m, "0.1.0", "2026-03-14"));
  const std::string text = words();
  EXPECT_THAT(text, HasSubstr("Left leg, knee straight, 70 kg"));
  EXPECT_THAT(text, HasSubstr("The set ended after rep 11 at 24.1 s: 2 low reps in a row (under 75 %)."));
  EXPECT_THAT(text, HasSubstr("12 at 50 %, 9 at 75 %, 7 at 90 %"));
  EXPECT_THAT(text, HasSubstr("Andreasen et al. 2021"));
  EXPECT_THAT(text, HasSubstr("14.20 ± 0.03 px/cm"));
  EXPECT_THAT(text, HasSubstr("8.65 ± 0.10"));  // rep 9
  EXPECT_LT(text.find("Not a medical device"), text.find("Reference height"));
}

TEST_F(ReportPdf, WithoutMassThereIsNoWork) {
  measure::Measurement m = test::sample_measurement();
  m.asked.mass_kg.reset();
  m.work_j.reset();
  ASSERT_TRUE(write_report(file_, m, "0.1.0", "2026-03-14"));
  EXPECT_THAT(words(), HasSubstr("body mass not given"));
  EXPECT_THAT(words(), Not(HasSubstr("Andreasen")));
}

TEST_F(ReportPdf, WithoutAScaleThereAreNoHeights) {
  ASSERT_TRUE(write_report(file_, test::sample_without_scale(), "0.1.0", "2026-03-14"));
  EXPECT_THAT(words(), HasSubstr("No scale, so no heights and no reps"));
  EXPECT_THAT(words(), Not(HasSubstr("Reference height")));
  EXPECT_THAT(words(), Not(HasSubstr(" cm ")));
}

TEST_F(ReportPdf, IsTheSameForTheSameDateAndHasNoPixels) {
  ASSERT_TRUE(write_report(file_, test::sample_measurement(), "0.1.0", "2026-03-14"));
  const std::string first = test::bytes_of(file_);
  EXPECT_THAT(tool("pdfinfo -isodates"), ContainsRegex("CreationDate: +2026-03-14"));
  EXPECT_THAT(tool("pdfimages -list"), Not(HasSubstr("image ")));
  const std::string fonts = tool("pdffonts");
  EXPECT_THAT(fonts, HasSubstr("DejaVuSans"));
  EXPECT_THAT(fonts, Not(ContainsRegex(" no +(yes|no) +(yes|no) ")));  // embedded, subset, unicode
  ASSERT_TRUE(write_report(file_, test::sample_measurement(), "0.1.0", "2026-03-14"));
  EXPECT_EQ(test::bytes_of(file_), first);
  ASSERT_TRUE(write_report(file_, test::sample_measurement(), "0.1.0", "2026-03-15"));
  EXPECT_NE(test::bytes_of(file_), first);
}

TEST_F(ReportPdf, SurvivesEmptyAndOddResults) {
  measure::Measurement none = test::sample_measurement();
  none.raises = raise::RepSet{};
  none.clip.file = "a\xff\n\033[1mb.mp4";
  EXPECT_TRUE(write_report(file_, none, "0.1.0", "2026-03-14"));
  EXPECT_THAT(words(), HasSubstr("a???[1mb.mp4"));
  EXPECT_TRUE(write_report(file_, measure::Measurement{}, "0.1.0", "2026-03-14"));
  EXPECT_EQ(write_report("/nowhere/at/all.pdf", none, "0.1.0", "2026-03-14").error().fault, Fault::cannot_write);
}

TEST(TickStep, IsRound) {
  EXPECT_DOUBLE_EQ(tick_step(27.6, 14), 2.0);
  EXPECT_DOUBLE_EQ(tick_step(12, 6), 2.0);
  EXPECT_DOUBLE_EQ(tick_step(0.9, 6), 0.2);
  EXPECT_DOUBLE_EQ(tick_step(300, 6), 50.0);
}

}  // namespace
}  // namespace risetrace::report
