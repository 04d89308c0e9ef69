#include "report/print_card.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "model/read_models.h"
#include "place.h"
#include "report/pdf_check.h"
#include "report/schema_check.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;

struct Sheet {
  Paper paper;
  double width_mm;  // ISO 216 and US Letter
  double height_mm;
};

class PrintedSheet : public testing::TestWithParam<Sheet> {
 protected:
  void SetUp() override {
    if (!test::has_poppler()) GTEST_SKIP() << "pdftoppm is not installed";
    auto read = model::read_models(test::source_folder() / "models");
    ASSERT_TRUE(read);
    models_ = *read;
    file_ = fs::temp_directory_path() / ("sheet-" + std::to_string(::getpid()) + ".pdf");
  }
  void TearDown() override { fs::remove(file_); }

  model::Models models_;
  fs::path file_;
};

// Positions of the changes between dark and light along a level line, in mm.
std::vector<double> edges_along(const test::PagePicture& page, double y_mm, double from_mm, double to_mm) {
  std::vector<double> edges;
  for (int column = static_cast<int>(from_mm * 10); column < static_cast<int>(to_mm * 10); ++column) {
    const double x = (column + 0.5) / 10;  // a pixel's middle: ten to the millimetre
    if (page.dark(x, y_mm) != page.dark(x + 0.1, y_mm)) edges.push_back(x + 0.05);
  }
  return edges;
}

// The same down an upright line.
std::vector<double> edges_down(const test::PagePicture& page, double x_mm, double from_mm, double to_mm) {
  std::vector<double> edges;
  for (int row = static_cast<int>(from_mm * 10); row < static_cast<int>(to_mm * 10); ++row) {
    const double y = (row + 0.5) / 10;
    if (page.dark(x_mm, y) != page.dark(x_mm, y + 0.1)) edges.push_back(y + 0.05);
  }
  return edges;
}

TEST_P(PrintedSheet, CardIsAtTrueSizeAndDrawnAsItsModelSays) {
  ASSERT_TRUE(write_card_pdf(file_, models_.cards, GetParam().paper));
  const test::PagePicture page = test::render(file_);
  ASSERT_NEAR(page.width, GetParam().width_mm * 10, 1);
  ASSERT_NEAR(page.height, GetParam().height_mm * 10, 1);
  const double middle_x = GetParam().width_mm / 2;
  const double middle_y = 32.0 + 80.0;
  int modules = 0;
  for (const model::TagPattern& tag : models_.cards.tags.tags) {
    const double left = middle_x + tag.centre_cm.x * 10 - 25;
    const double top = middle_y - tag.centre_cm.y * 10 - 25;
    for (int row = 0; row < 8; ++row) {
      for (int column = 0; column < 8; ++column, ++modules) {
        const bool dark = page.dark(left + (column + 0.5) * 6.25, top + (row + 0.5) * 6.25);
        EXPECT_EQ(dark, tag.black[static_cast<std::size_t>(row * 8 + column)]) << tag.id << " " << row << " " << column;
      }
    }
    // The black square's edges, along its top row of modules, and a module of white beyond them.
    const auto edges = edges_along(page, top + 3, left - 6.2, left + 56.2);
    ASSERT_EQ(edges.size(), 2U) << tag.id;
    EXPECT_NEAR(edges[0], left, 0.15);
    EXPECT_NEAR(edges[1], left + 50.0, 0.15);
    const auto upright = edges_down(page, left + 3, top - 6.2, top + 56.2);
    ASSERT_EQ(upright.size(), 2U) << tag.id;
    EXPECT_NEAR(upright[0], top, 0.15);
    EXPECT_NEAR(upright[1], top + 50.0, 0.15);
  }
  EXPECT_EQ(modules, 4 * 64);
}

TEST_P(PrintedSheet, RulerIsAHundredMillimetres) {
  ASSERT_TRUE(write_card_pdf(file_, models_.cards, GetParam().paper));
  const test::PagePicture page = test::render(file_);
  const double left = GetParam().width_mm / 2 - 50;
  // Just under the tips of the millimetre ticks: one dark run a millimetre.
  const auto edges = edges_along(page, 32.0 + 80.0 + 1.5 - 1.8, left - 5, left + 105);
  ASSERT_EQ(edges.size(), 2 * 101U);
  for (std::size_t i = 0; i <= 100; ++i) {
    EXPECT_NEAR((edges[2 * i] + edges[2 * i + 1]) / 2, left + static_cast<double>(i), 0.15) << i;
  }
}

TEST_P(PrintedSheet, StickersAreAtTrueSize) {
  ASSERT_TRUE(write_stickers_pdf(file_, models_.stickers, GetParam().paper));
  const test::PagePicture page = test::render(file_);
  ASSERT_NEAR(page.width, GetParam().width_mm * 10, 1);
  // Down the leftmost column: for each size the first sticker is black, white, black over its diameter.
  for (const double diameter_mm : {25.0, 20.0, 15.0}) {
    const double x = 18 + diameter_mm / 2;
    std::vector<double> runs;
    double start = 0;
    for (int i = 400; i < static_cast<int>(GetParam().height_mm * 10) - 10; ++i) {
      const double y = 0.1 * i + 0.05;
      if (page.dark(x, y) && !page.dark(x, y - 0.1)) start = y;
      if (!page.dark(x, y) && page.dark(x, y - 0.1)) runs.push_back(y - start);
    }
    const double ring_mm = diameter_mm * 0.2;
    const auto rings =
        std::count_if(runs.begin(), runs.end(), [&](double run) { return std::abs(run - ring_mm) < 0.15; });
    EXPECT_GE(rings, 4) << diameter_mm;  // two rows, two crossings of the ring each
  }
}

TEST_P(PrintedSheet, IsOnePageWithItsFontInside) {
  for (const bool card : {true, false}) {
    ASSERT_TRUE(card ? write_card_pdf(file_, models_.cards, GetParam().paper)
                     : write_stickers_pdf(file_, models_.stickers, GetParam().paper));
    EXPECT_THAT(test::output_of("pdfinfo '" + file_.string() + "'", file_), testing::ContainsRegex("Pages: +1\n"));
    const std::string fonts = test::output_of("pdffonts '" + file_.string() + "'", file_);
    EXPECT_THAT(fonts, testing::HasSubstr("DejaVuSans"));
    EXPECT_THAT(fonts, testing::Not(testing::ContainsRegex(" no +(yes|no) +(yes|no) ")));  // emb sub uni
  }
}

INSTANTIATE_TEST_SUITE_P(Papers, PrintedSheet,
                         testing::Values(Sheet{Paper::a4, 210.0, 297.0}, Sheet{Paper::letter, 215.9, 279.4}),
                         [](const auto& sheet) { return sheet.param.paper == Paper::a4 ? "A4" : "Letter"; });

TEST(StickersFile, FitsItsSchema) {
  const std::string text = test::bytes_of(test::source_folder() / "models/stickers.json");
  EXPECT_EQ(test::misfit("stickers.schema.json", text), "");
  EXPECT_NE(test::misfit("stickers.schema.json", "{}"), "");
}

}  // namespace
}  // namespace risetrace::report
