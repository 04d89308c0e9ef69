#include "review/read_corrections.h"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "report/schema_check.h"
#include "review/by_hand.h"
#include "review/say_corrections.h"

namespace risetrace::review {
namespace {

using nlohmann::json;

json one(const char* what, const json& more) {
  json c = {{"what", what}, {"at", "2026-03-02T10:15:00.250Z"}, {"by", "T-1"}, {"why", "the toes slipped"}};
  c.update(more);
  return c;
}

json file_of(const std::vector<json>& list) { return {{"schema", "risetrace/corrections/1"}, {"corrections", list}}; }

std::vector<json> all_kinds() {
  return {one("take-out", {{"rep", {{"peak_s", 12.3}}}, {"before", {{"height_cm", 9.1}}}, {"after", nullptr}}),
          one("put-in", {{"after", {{"start_s", 1.0}, {"peak_s", 2.0}, {"end_s", 3.0}}}}),
          one("move", {{"rep", {{"peak_s", 12.3}}}, {"after", {{"end_s", 13.0}}}}),
          one("set-end", {{"after", {{"t_s", 40.0}}}}),
          one("take-out", {{"hop", {{"touchdown_frame", 120}}}}),
          one("no-landing", {{"hop", {{"touchdown_frame", 120}}}}),
          one("put-in", {{"after", {{"touchdown_frame", 120}, {"takeoff_frame", nullptr}}}}),
          one("move", {{"hop", {{"touchdown_frame", 120}}}, {"after", {{"takeoff_frame", 160}}}}),
          one("heel", {{"after", {{"x_px", 100.5}, {"y_px", 200}}}}),
          one("forefoot", {{"after", {{"x_px", 100.5}, {"y_px", 200}}}}),
          one("scale", {{"after", {{"from_px", {100, 100}}, {"to_px", {400, 500}}, {"length_cm", 25.0}}}}),
          one("beat", {{"after", {{"bpm", 60}}}}),
          one("end-fraction", {{"after", {{"end_fraction", 0.5}}}}),
          one("end-after", {{"after", {{"end_after", 3}}}}),
          one("reference-reps", {{"after", {{"reference_reps", 5}}}})};
}

std::string refusal(const json& file) {
  const auto read = read_corrections_text(file.dump(), "c.json");
  EXPECT_FALSE(read.ok());
  if (read) return "";
  EXPECT_EQ(read.error().fault, Fault::corrections_wrong);
  return read.error().why;
}

}  // namespace

TEST(ReadCorrections, EveryKindIsReadAndFitsTheSchema) {
  const json file = file_of(all_kinds());
  EXPECT_EQ(risetrace::test::misfit("corrections.schema.json", file.dump()), "");
  const auto read = read_corrections_text(file.dump(), "c.json");
  ASSERT_TRUE(read.ok()) << read.error().why;
  ASSERT_EQ(read->list.size(), all_kinds().size());
  for (std::size_t i = 0; i < read->list.size(); ++i) {
    EXPECT_EQ(json::parse(read->list[i].as_given), all_kinds()[i]) << "kept as it was given";
    EXPECT_FALSE(in_words(read->list[i]).empty());
  }
  EXPECT_EQ(read->list[2].end_s, 13.0);
  EXPECT_EQ(read->list[6].touchdown_frame, 120);
}

TEST(ReadCorrections, WhatIsWrongIsNamed) {
  json no_why = one("set-end", {{"after", {{"t_s", 40.0}}}});
  no_why["why"] = "  ";
  EXPECT_EQ(refusal(file_of({no_why})), "c.json: corrections[0].why must not be empty");
  json late = one("set-end", {{"after", {{"t_s", 40.0}}}});
  late["at"] = "2026-03-02 10:15";
  EXPECT_NE(refusal(file_of({late})).find("corrections[0].at must be a UTC time"), std::string::npos);
  EXPECT_NE(refusal(file_of({one("take-out", json::object())})).find("must say which"), std::string::npos);
  EXPECT_NE(refusal(file_of({one("wish", json::object())})).find("must be one of take-out"), std::string::npos);
  EXPECT_NE(refusal(file_of({one("end-after", {{"after", {{"end_after", 1.5}}}})})).find("whole number"),
            std::string::npos);
  EXPECT_NE(
      refusal(file_of({one("beat", {{"after", {{"bpm", 60}, {"loud", true}}}})})).find("after.loud is not a field"),
      std::string::npos);
  const json near = {{"from_px", {100, 100}}, {"to_px", {104, 100}}, {"length_cm", 25.0}};
  EXPECT_NE(refusal(file_of({one("scale", {{"after", near}})})).find("closer than 10 pixels"), std::string::npos);
  EXPECT_NE(refusal({{"schema", "risetrace/corrections/9"}, {"corrections", json::array()}}).find("schema must be"),
            std::string::npos);
  EXPECT_EQ(refusal("nothing"), "c.json: corrections must be an object");
}

// What the schema refuses the reader refuses too, field by field.
TEST(ReadCorrections, ReaderAndSchemaAgreeOnWhatIsMissing) {
  for (const json& kind : all_kinds()) {
    for (const auto& [name, value] : kind.items()) {
      json less = kind;
      less.erase(name);
      const bool schema_takes = risetrace::test::misfit("corrections.schema.json", file_of({less}).dump()).empty();
      const bool reader_takes = read_corrections_text(file_of({less}).dump(), "c.json").ok();
      EXPECT_EQ(schema_takes, reader_takes) << less.dump();
    }
  }
}

TEST(ReadCorrections, AreOfOneTestAndOneClip) {
  const auto read = read_corrections_text(file_of({all_kinds()[0]}).dump(), "c.json");
  ASSERT_TRUE(read.ok());
  EXPECT_TRUE(corrections_fit(*read, risetrace::Test::heel_raise).ok());
  EXPECT_FALSE(corrections_fit(*read, risetrace::Test::hop).ok());
  EXPECT_FALSE(corrections_fit(*read, risetrace::Test::lunge).ok());
  Corrections of_clip = *read;
  of_clip.clip_sha256 = std::string(64, 'a');
  EXPECT_TRUE(is_of_clip(of_clip, std::string(64, 'a')).ok());
  EXPECT_FALSE(is_of_clip(of_clip, std::string(64, 'b')).ok());
}

// 500 px are 25 cm: 20 px/cm. Two points of 1 px each along the line: sqrt 2 / 500; half a millimetre of 25 cm.
TEST(HandScale, CarriesItsTwoDoubts) {
  const auto read = read_corrections_text(file_of({all_kinds()[10]}).dump(), "c.json");
  ASSERT_TRUE(read.ok());
  const auto scale = hand_scale(*read, {1.0, 0.05});
  ASSERT_TRUE(scale);
  EXPECT_NEAR(scale->px_per_cm, 20, 1e-12);
  EXPECT_NEAR(scale->px_per_cm_u, 20 * std::hypot(std::sqrt(2.0) / 500, 0.05 / 25), 1e-12);
}

TEST(SayCorrections, TheNoteNamesWhoAndWhat) {
  const auto read = read_corrections_text(file_of(all_kinds()).dump(), "c.json");
  ASSERT_TRUE(read.ok());
  const Note note = note_of(*read);
  EXPECT_EQ(note.code, "corrected-by-hand");
  EXPECT_EQ(note.text.find("Corrected by hand by T-1: the rep with its peak at 12.30 s taken out (the toes slipped);"),
            0U);
  EXPECT_NE(note.text.find("and 11 more, all in result.json."), std::string::npos);
}

}  // namespace risetrace::review
