// The report page on hops.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>
#include <unistd.h>

#include <limits>

#include "report/hop_plot.h"
#include "report/pdf_check.h"
#include "report/report_pdf.h"
#include "report/sample_hops.h"
#include "report/summary.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;
using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;

struct WordBox {
  double x0 = 0;
  double y0 = 0;
  double x1 = 0;
  double y1 = 0;
  std::string text;
};

// Of the ink rather than of the line: a line's box reaches into its neighbours.
bool overlap(const WordBox& a, const WordBox& b) {
  const auto inset = [](const WordBox& box) { return 0.27 * (box.y1 - box.y0); };
  return a.x0 + 0.3 < b.x1 && b.x0 + 0.3 < a.x1 && a.y0 + inset(a) < b.y1 - inset(b) &&
         b.y0 + inset(b) < a.y1 - inset(a);
}

class HopReport : public test::PdfTest {
 protected:
  [[nodiscard]] std::vector<WordBox> boxes() const {
    const std::string text = test::output_of("pdftotext -bbox '" + file_.string() + "' -", file_);
    std::vector<WordBox> out;
    for (std::size_t at = text.find("<word "); at != std::string::npos; at = text.find("<word ", at + 1)) {
      WordBox box;
      EXPECT_EQ(std::sscanf(text.c_str() + at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &box.x0,
                            &box.y0, &box.x1, &box.y1),
                4);
      const std::size_t from = text.find('>', at) + 1;
      box.text = text.substr(from, text.find('<', from) - from);
      out.push_back(box);
    }
    return out;
  }
  void write(const measure::Measurement& m) {
    const auto wrote = write_report(file_, m, "0.1.0", "2026-03-14");
    ASSERT_TRUE(wrote) << sentence(wrote.error());
  }
};

TEST_F(HopReport, IsOnePageOnWhichNoWordsMeetForAnyNumberOfHops) {
  for (const int hops : {0, 1, 7, 30, 120, 300}) {
    for (const int steps : {0, 1, 6, 12}) {
      for (const bool known : {true, false}) {
        SCOPED_TRACE(testing::Message() << hops << " hops, " << steps << " steps, times known " << known);
        test::HopsAsked asked;
        asked.hops = hops;
        asked.steps = hops == 0 ? 0 : steps;
        asked.times = known;
        asked.scale = known;
        measure::Measurement m = test::sample_hops(asked);
        m.clip.file = std::string(200, 'w') + ".mp4";
        for (int i = 0; i < 30; ++i) m.notes.push_back({"made-up", "One more thing that a careful reader wants.", 1.0});
        write(m);
        const std::string facts = tool("pdfinfo");
        EXPECT_THAT(facts, ContainsRegex("Pages: +1\n"));
        EXPECT_THAT(facts, HasSubstr("(A4)"));
        const auto all = boxes();
        EXPECT_GT(all.size(), 120U);
        for (std::size_t i = 0; i < all.size(); ++i) {
          EXPECT_GE(all[i].x0, 28) << all[i].text;
          EXPECT_LE(all[i].x1, 595.3 - 28) << all[i].text;
          EXPECT_LE(all[i].y1, 841.9 - 20) << all[i].text;
          for (std::size_t k = i + 1; k < all.size(); ++k) {
            EXPECT_FALSE(overlap(all[i], all[k]))
                << all[i].text << " meets " << all[k].text << " at " << all[i].x0 << ", " << all[i].y0;
          }
        }
      }
    }
  }
}

TEST_F(HopReport, SaysTheResultTheCautionAndHowItWasMeasured) {
  const measure::Measurement m = test::sample_hops();
  write(m);
  const std::string text = words();
  EXPECT_THAT(text, HasSubstr("Pogo hops"));
  EXPECT_THAT(text, HasSubstr("Left leg, knee straight, 70 kg"));
  EXPECT_THAT(text, HasSubstr("Beat heard 150 down to 140 per minute in 2 steps, asked 150."));
  EXPECT_THAT(text, HasSubstr("Times from the shoe’s sole. Common to all touchdowns: ± 1.5 ms."));
  EXPECT_THAT(text, HasSubstr("1–3 one of the first 3; 14 a double touch; 30 cut off"));
  EXPECT_THAT(text, HasSubstr("Dalleau et al. 2004"));
  EXPECT_THAT(text, HasSubstr("8.00 ± 0.03 px/cm"));
  EXPECT_THAT(text, HasSubstr(fixed(m.hops->contact_ms, 0) + " ± 2 ms"));
  EXPECT_LT(text.find("Not a medical device"), text.find("On the ground"));
}

TEST_F(HopReport, UnknownTimesGiveNoMilliseconds) {
  write(test::sample_hops({.times = false}));
  const std::string text = words();
  EXPECT_THAT(text, HasSubstr("No time on the ground is known: the notes say why."));
  EXPECT_THAT(text, HasSubstr("Not known for any hop."));
  EXPECT_THAT(text, HasSubstr("put a sticker on the forefoot"));
  EXPECT_THAT(text, Not(ContainsRegex("Dalleau|kN/m| m/s|the framed picture")));
}

TEST_F(HopReport, WithoutMassThereIsNoStiffnessAndWithoutAScaleNoCentimetresOfTheSole) {
  measure::Measurement m = test::sample_hops({.scale = false});
  m.asked.mass_kg.reset();
  m.hops->stiffness_kn_m.reset();
  write(m);
  EXPECT_THAT(words(), HasSubstr("body mass not given"));
  EXPECT_THAT(words(), Not(HasSubstr("kN/m")));
  EXPECT_THAT(words(), HasSubstr("sole above the floor, px"));
}

int grey_images_in(const std::string& list) {
  int found = 0;
  for (std::size_t at = list.find(" gray "); at != std::string::npos; at = list.find(" gray ", at + 1)) ++found;
  return found;
}

TEST_F(HopReport, ShowsTheFramesAboutATouchdownAndATakeOff) {
  measure::Measurement m = test::sample_hops();
  write(m);
  EXPECT_EQ(grey_images_in(tool("pdfimages -list")), 10);
  EXPECT_THAT(words(), HasSubstr("Touchdown of hop 5: the framed picture is the first on the ground"));
  EXPECT_THAT(words(), HasSubstr("frame " + std::to_string(m.contacts.contacts[5].touchdown->frame)));
  EXPECT_THAT(words(), HasSubstr("−8.3 ms"));
  EXPECT_THAT(words(), HasSubstr("+4.2 ms"));
  m.takeoff_strip = {};
  write(m);
  EXPECT_EQ(grey_images_in(tool("pdfimages -list")), 5);
  EXPECT_THAT(words(), Not(HasSubstr("Take-off of hop")));
}

TEST_F(HopReport, SurvivesTornStripsAndEmptyResults) {
  measure::Measurement m = test::sample_hops();
  m.touchdown_strip.event = 9;
  m.takeoff_strip.frames[1].picture.grey.resize(7);
  m.takeoff_strip.frames[3].picture = {};
  m.takeoff_strip.box = {};
  write(m);
  EXPECT_EQ(grey_images_in(tool("pdfimages -list")), 4);
  m.hops.reset();
  write(m);
  EXPECT_THAT(words(), HasSubstr("No hops were found."));
  measure::Measurement empty;
  empty.asked.test = risetrace::Test::hop;
  write(empty);
}

TEST_F(HopReport, IsTheSameForTheSameDate) {
  write(test::sample_hops());
  const std::string first = test::bytes_of(file_);
  write(test::sample_hops());
  EXPECT_EQ(test::bytes_of(file_), first);
}

std::optional<double> any_number() {
  switch (*rc::gen::inRange(0, 6)) {
    case 0:
      return std::nullopt;
    case 1:
      return std::numeric_limits<double>::quiet_NaN();
    case 2:
      return std::numeric_limits<double>::infinity();
    case 3:
      return 0.0;
    default:
      return static_cast<double>(*rc::gen::inRange(-1000, 100000));
  }
}

// Whatever a field holds, the page is drawn.
RC_GTEST_PROP(HopReportLaw, IsDrawnWhateverTheNumbersAre, ()) {
  measure::Measurement m = test::sample_hops({.hops = *rc::gen::inRange(0, 40), .steps = *rc::gen::inRange(0, 4)});
  for (hop::Hop& hop : m.hops->hops) {
    if (*rc::gen::arbitrary<bool>()) continue;
    for (const auto field :
         {&hop::Hop::contact_ms, &hop::Hop::contact_ms_u, &hop::Hop::flight_ms, &hop::Hop::takeoff_s}) {
      hop.*field = any_number();
    }
    hop.why_not = *rc::gen::string<std::string>();
    hop.counted = *rc::gen::arbitrary<bool>();
  }
  m.hops->contact_ms = any_number();
  m.hops->contact_ms_u = any_number();
  m.hops->hop_rate_hz = any_number();
  for (hop::Step& step : m.hops->steps) {
    step.rate_error_pct = any_number();
    step.phase_p = any_number();
  }
  for (sole::ClearanceSample& sample : m.clearance.samples) {
    if (sample.frame % 50 == 0) sample.up_px = any_number().value_or(-3.0);
  }
  const fs::path file = fs::temp_directory_path() / ("hops-law-" + std::to_string(::getpid()) + ".pdf");
  const auto wrote = write_report(file, m, "0.1.0", "2026-03-14");
  fs::remove(file);
  RC_ASSERT(wrote.ok());
  RC_ASSERT(!summary(m, true).empty());
}

TEST(HopPlot, MarksAndRows) {
  measure::Measurement m = test::sample_hops();
  EXPECT_EQ(mark_of(m.hops->hops[0], m.contacts), HopMark::not_counted);
  EXPECT_EQ(mark_of(m.hops->hops[5], m.contacts), HopMark::counted);
  EXPECT_EQ(mark_of(m.hops->hops[13], m.contacts), HopMark::doubtful);
  EXPECT_EQ(hop_trace_rows(m), 2);
  EXPECT_EQ(hop_trace_rows(test::sample_hops({.hops = 5, .steps = 1})), 1);
  EXPECT_EQ(hop_trace_rows(test::sample_hops({.hops = 300})), 3);
}

}  // namespace
}  // namespace risetrace::report
