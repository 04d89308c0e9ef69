#include "visit/read_screen.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

namespace risetrace::visit {
namespace {

// The least that is read, with one result; `spoil` replaces `from` by `to` in it.
std::string screen_text(const std::string& from = "", const std::string& to = "") {
  std::string text = R"({"schema": "risetrace/screen/1",
    "session": {"date": "2025-12-01", "person": {"code": "R-031", "sex": null}},
    "results": [{"test": "heel-raise", "side": "left", "knee": "bent", "got_by": "clip",
                 "values": {"reps": 14.0, "reps_u": null, "greatest_height_cm": 8.25, "greatest_height_cm_u": 0.125,
                            "greatest_height_cm_shared_relative_u": 0.0625, "work_j": null},
                 "beats": [], "asked_bpm": 60.0, "end_fraction": 0.75, "marker": "heel", "incline_deg": null,
                 "pain": {"before": 0, "worst": 3, "after": null},
                 "strokes": [{"n": 1, "t_s": 1.5, "height_cm": 8.25, "counted": true}]}]})";
  if (!from.empty()) text.replace(text.find(from), from.size(), to);
  return text;
}

std::string refusal(const std::string& text) {
  const auto read = read_screen_text(text, "old.json");
  if (read.ok()) return "was read";
  EXPECT_EQ(read.error().fault, Fault::session_wrong);
  EXPECT_TRUE(read.error().why.starts_with("old.json: ")) << read.error().why;
  return read.error().why.substr(10);
}

TEST(ReadScreen, ReadsValuesFormAndStrokes) {
  const auto read = read_screen_text(screen_text(), "old.json");
  ASSERT_TRUE(read.ok()) << sentence(read.error());
  EXPECT_EQ(read->date, "2025-12-01");
  EXPECT_EQ(read->person_code, "R-031");
  ASSERT_EQ(read->results.size(), 1U);
  const TestResult& result = read->results[0];
  EXPECT_EQ(key_of(result.slot), "heel-raise/left/bent");
  EXPECT_EQ(result.got_by, GotBy::clip);
  EXPECT_EQ(result.values.size(), 2U);  // work_j is not known
  EXPECT_EQ(result.values.at("reps").value, 14.0);
  EXPECT_FALSE(result.values.at("reps").u);
  EXPECT_EQ(result.values.at("greatest_height_cm").u, 0.125);
  EXPECT_EQ(result.values.at("greatest_height_cm").shared_relative_u, 0.0625);
  EXPECT_EQ(result.end_fraction, 0.75);
  EXPECT_FALSE(result.incline_deg);
  EXPECT_EQ(result.pain.worst, 3);
  EXPECT_FALSE(result.pain.after);
  EXPECT_EQ(result.strokes.at(0).value, 8.25);
}

TEST(ReadScreen, NamesTheFieldThatIsWrong) {
  EXPECT_EQ(refusal(screen_text("\"side\": \"left\"", "\"side\": \"up\"")),
            "results[0].side must be one of left, right, both");
  EXPECT_EQ(refusal(screen_text("\"reps\": 14.0", "\"reps\": \"14\"")), "results[0].values.reps must be a number");
  EXPECT_EQ(refusal(screen_text("\"reps\": 14.0", "\"reps\": null, \"x_u\": 1")),
            "results[0].values.x_u is of a value that is not there");
  EXPECT_EQ(refusal(screen_text("0.125", "-0.125")), "results[0].values.greatest_height_cm_u is less than 0");
  EXPECT_EQ(refusal(screen_text("\"worst\": 3", "\"worst\": 11")), "results[0].pain.worst is 11, must be 0 to 10");
  EXPECT_EQ(refusal(screen_text("\"t_s\": 1.5, ", "")), "results[0].strokes[0].t_s is missing");
  EXPECT_EQ(refusal(screen_text("\"height_cm\": 8.25", "\"contact_ms\": 250")),
            "results[0].strokes[0].height_cm is missing");
  EXPECT_EQ(refusal(screen_text("\"got_by\": \"clip\",", "")), "results[0].got_by is missing");
  // Under the same schema number a later version may have added fields.
  EXPECT_EQ(refusal(screen_text("\"marker\"", "\"maker\"")), "was read");
  EXPECT_EQ(refusal(screen_text("R-031", "")), "session.person.code is empty");
}

TEST(ReadScreen, WantsARealDate) {
  for (const char* date : {"2025-02-29", "2025-13-01", "01.12.2025", "2025-1-01", "2025-12-1x", ""}) {
    EXPECT_NE(refusal(screen_text("2025-12-01", date)).find("session.date"), std::string::npos) << date;
  }
  EXPECT_EQ(refusal(screen_text("2025-12-01", "2024-02-29")), "was read");
}

TEST(ReadScreen, RefusesANewerSchemaAndSaysSo) {
  EXPECT_EQ(refusal(screen_text("screen/1", "screen/2")),
            "schema is risetrace/screen/2, of a newer risetrace: this one reads up to risetrace/screen/1");
  EXPECT_EQ(refusal(screen_text("screen/1", "result/1")), "schema must be \"risetrace/screen/1\"");
  EXPECT_EQ(refusal(screen_text("screen/1", "screen/one")), "schema must be \"risetrace/screen/1\"");
  EXPECT_EQ(refusal(screen_text("screen/1", "screen/0")), "schema must be \"risetrace/screen/1\"");
}

TEST(ReadScreen, RefusesTwoResultsOfOneSlot) {
  std::string text = screen_text();
  const auto from = text.find("[{\"test\"") + 1;
  const std::string result = text.substr(from, text.rfind("]}") - from);
  text.insert(from, result + ", ");
  EXPECT_EQ(refusal(text), "results[1].test is a second result of heel-raise/left/bent");
}

TEST(ReadScreen, RefusesWhatIsNoScreen) {
  EXPECT_EQ(refusal(""), "is not JSON");
  EXPECT_EQ(refusal("{\"schema\": "), "is not JSON");
  EXPECT_EQ(refusal("[]"), "a screen must be an object");
  EXPECT_EQ(refusal(std::string(100000, '[')), "is not JSON");
  EXPECT_EQ(refusal("{\"schema\": \"risetrace/screen/1\"}"), "session is missing");
}

TEST(ReadScreen, ReadsAFileAndNamesOneThatIsNotThere) {
  const auto file = std::filesystem::temp_directory_path() / "risetrace_read_screen_test.json";
  std::ofstream(file) << screen_text();
  const auto read = read_screen(file);
  std::filesystem::remove(file);
  ASSERT_TRUE(read.ok()) << sentence(read.error());
  EXPECT_EQ(read->results.size(), 1U);
  const auto none = read_screen(file);
  ASSERT_FALSE(none.ok());
  EXPECT_NE(none.error().why.find("there is no such file"), std::string::npos);
  EXPECT_FALSE(read_screen(std::filesystem::temp_directory_path()).ok());
}

}  // namespace
}  // namespace risetrace::visit
