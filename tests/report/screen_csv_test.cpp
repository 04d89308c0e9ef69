#include "report/screen_csv.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>
#include <map>

#include "model/read_visit_models.h"
#include "place.h"
#include "report/csv_row.h"
#include "report/sample_open_screen.h"

namespace risetrace::report {
namespace {

using Row = std::map<std::string, std::string>;

// RFC 4180 read strictly: every row ends with CRLF, a quote stands only around a cell or doubled within one.
std::vector<std::vector<std::string>> cells_of(const std::string& csv) {
  std::vector<std::vector<std::string>> rows(1, std::vector<std::string>(1));
  bool within = false;
  for (std::size_t i = 0; i < csv.size(); ++i) {
    const char c = csv[i];
    std::string& cell = rows.back().back();
    if (within && c == '"' && i + 1 < csv.size() && csv[i + 1] == '"') {
      cell += csv[++i];
    } else if (c == '"') {
      EXPECT_TRUE(within || cell.empty()) << "a quote in the middle of a cell";
      within = !within;
    } else if (!within && c == ',') {
      rows.back().emplace_back();
    } else if (!within && c == '\r') {
      EXPECT_EQ(csv.substr(i, 2), "\r\n");
      ++i;
      rows.emplace_back(1);
    } else {
      EXPECT_TRUE(within || c != '\n');
      cell += c;
    }
  }
  EXPECT_EQ(rows.back(), std::vector<std::string>(1));
  rows.pop_back();
  return rows;
}

std::vector<Row> table_of(const std::string& csv) {
  const auto rows = cells_of(csv);
  std::vector<Row> table;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    EXPECT_EQ(rows[i].size(), rows[0].size()) << "row " << i;
    Row row;
    for (std::size_t k = 0; k < rows[0].size(); ++k) row[rows[0][k]] = rows[i][k];
    EXPECT_EQ(row.size(), rows[0].size()) << "two columns of one name";
    table.push_back(row);
  }
  return table;
}

Row row_where(const std::vector<Row>& table, const Row& wanted) {
  Row found;
  int hits = 0;
  for (const Row& row : table) {
    bool fits = true;
    for (const auto& [name, value] : wanted) fits = fits && row.at(name) == value;
    if (fits) found = row;
    hits += fits ? 1 : 0;
  }
  EXPECT_EQ(hits, 1);
  return found;
}

TEST(ScreenCsv, HasARowANumber) {
  const visit::Screen screen = test::sample_open_screen();
  const auto table = table_of(values_csv(screen));
  std::size_t numbers = 0;
  for (const auto& result : screen.results) {
    numbers += result.values.size();
    for (const auto& beat : result.beats) numbers += beat.values.size();
    numbers += result.pain.worst ? 3 : 0;
  }
  EXPECT_EQ(table.size(), numbers);
  const Row height = row_where(
      table, {{"test", "heel-raise"}, {"side", "left"}, {"knee", "bent"}, {"quantity", "greatest_height_cm"}});
  EXPECT_EQ(height.at("person"), "R-031");
  EXPECT_EQ(height.at("date"), "2026-03-02");
  EXPECT_EQ(height.at("unit"), "cm");
  EXPECT_EQ(height.at("value"), "8.1");
  EXPECT_EQ(height.at("u"), "0.11");
  EXPECT_EQ(height.at("shared_relative_u"), "0.012");
  EXPECT_EQ(height.at("got_by"), "clip");
  EXPECT_EQ(height.at("end_fraction"), "0.75");
  EXPECT_EQ(height.at("beat_bpm"), "");
  const Row contact =
      row_where(table, {{"test", "hop"}, {"side", "right"}, {"quantity", "contact_ms"}, {"beat_bpm", "140"}});
  EXPECT_EQ(contact.at("value"), "257.5");
  EXPECT_EQ(contact.at("beat_kept"), "0");
  EXPECT_EQ(contact.at("got_by"), "result");
  const Row pain = row_where(table, {{"side", "left"}, {"knee", "bent"}, {"quantity", "pain_worst"}});
  EXPECT_EQ(pain.at("value"), "2");
  EXPECT_EQ(row_where(table, {{"test", "lunge"}, {"side", "left"}}).at("got_by"), "by-hand");
}

TEST(ScreenCsv, ComparesInATableOfItsOwn) {
  const auto table = table_of(comparison_csv(test::sample_open_screen()));
  ASSERT_EQ(table.size(), 4U);
  const Row reps = row_where(table, {{"compared", "sides"}, {"quantity", "reps"}});
  EXPECT_EQ(reps.at("first"), "17");
  EXPECT_EQ(reps.at("second"), "24");
  EXPECT_EQ(reps.at("difference"), "-7");
  EXPECT_EQ(reps.at("beyond_measuring"), "");  // cannot be told
  EXPECT_EQ(reps.at("beyond_noise_optimistic"), "1");
  EXPECT_EQ(reps.at("beyond_noise_cautious"), "0");
  EXPECT_EQ(reps.at("weaker"), "left");
  EXPECT_EQ(reps.at("cut_off_kind"), "difference");
  const Row one_side = row_where(table, {{"compared", "sides"}, {"quantity", "contact_ms"}});
  EXPECT_EQ(one_side.at("why_not"), "one-side");
  for (const char* empty : {"second", "difference", "index_pct", "beyond_cut_off", "cut_off", "cut_off_kind"}) {
    EXPECT_EQ(one_side.at(empty), "") << empty;
  }
  EXPECT_EQ(row_where(table, {{"compared", "knees"}}).at("side"), "left");
  const Row reference = row_where(table, {{"compared", "reference"}});
  EXPECT_EQ(reference.at("second"), "27.9");
  EXPECT_EQ(reference.at("population"), "adults, \"without\" complaints");
  EXPECT_EQ(reference.at("form_differs"), "cadence");
  EXPECT_EQ(reference.at("source"), "Lunsford & Perry 1995, Phys Ther 75:694-698");
}

TEST(ScreenCsv, HoldsNothingThatWasTypedInFreely) {
  const visit::Screen screen = test::sample_open_screen();
  EXPECT_EQ(values_csv(screen).find(test::invented_name), std::string::npos);
  EXPECT_EQ(comparison_csv(screen).find(test::invented_name), std::string::npos);
}

TEST(ScreenCsv, NothingTestedIsAHeadAlone) {
  EXPECT_EQ(table_of(values_csv(test::sample_open_refer())).size(), 0U);
  EXPECT_EQ(table_of(comparison_csv(test::sample_open_refer())).size(), 0U);
}

TEST(CsvRow, QuotesAndNeverBeginsAFormula) {
  EXPECT_EQ(CsvRow().text("a,b").text("say \"x\"").text("plain").line(), "\"a,b\",\"say \"\"x\"\"\",plain\r\n");
  EXPECT_EQ(CsvRow().text("=1+1").text("-x").text("@x").text("+x").text("a=b").line(), "'=1+1,'-x,'@x,'+x,a=b\r\n");
  EXPECT_EQ(CsvRow().number(-1.5).number(std::nullopt).number(std::nan("")).yes_no(false).line(), "-1.5,,,0\r\n");
  EXPECT_EQ(CsvRow().number(-0.0).line(), "0\r\n");
}

RC_GTEST_PROP(CsvRow, AnyTextComesBack, (const std::string& text)) {
  const auto rows = cells_of(CsvRow().text(text).text("end").line());
  RC_ASSERT(rows.size() == 1U);
  RC_ASSERT(rows[0].size() == 2U);
  RC_ASSERT(rows[0][1] == "end");
}

RC_GTEST_PROP(CsvRow, ANumberComesBackExactly, (double number)) {
  const std::string line = CsvRow().number(number).line();
  RC_ASSERT(std::stod(line) == number);
}

}  // namespace
}  // namespace risetrace::report
