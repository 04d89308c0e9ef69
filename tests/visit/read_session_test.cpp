// Sessions as people write them, wrong ones above all: the message names the field.
#include "visit/read_session.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "report/schema_check.h"
#include "shipped.h"

namespace risetrace::visit {
namespace {

using nlohmann::json;
using test::shipped;

json good() {
  return json::parse(R"({
    "schema": "risetrace/session/1", "date": "2026-03-02",
    "person": {"code": "R-017", "birth_year": 1988, "sex": "female", "height_cm": 168, "mass_kg": 61.5,
               "sport": "running", "affected_side": "left"},
    "cautions": {"clot": "no", "pop": "no", "balance": "yes"},
    "shoes": "road shoes", "tester": "T-1",
    "tests": [
      {"test": "lunge", "side": "left", "by_hand": {"knee_to_wall_cm": 10.5}},
      {"test": "heel-raise", "side": "left", "knee": "straight", "clip": "left.mp4",
       "pain": {"before": 0, "worst": 3, "after": 1}, "options": {"card": "id-1", "distance_m": 2.5}},
      {"test": "heel-raise", "side": "right", "knee": "straight", "result": "right.risetrace"},
      {"test": "hop", "side": "both", "by_hand": {"lowest_kept_bpm": 120}}
    ]})");
}

std::string complaint(const json& session) {
  const auto read = session_from(session.dump(), "/visit", shipped());
  return read ? "" : sentence(read.error());
}

TEST(ReadSession, TakesEveryKindOfEntry) {
  ASSERT_EQ(complaint(good()), "");
  EXPECT_EQ(test::misfit("session.schema.json", good().dump()), "");
  const Session session = *session_from(good().dump(), "/visit", shipped());
  EXPECT_EQ(session.person.code, "R-017");
  EXPECT_EQ(session.person.affected_side, Side::left);
  ASSERT_EQ(session.tests.size(), 4U);
  EXPECT_EQ(session.tests[1].file, "/visit/left.mp4");
  EXPECT_EQ(session.tests[1].options.card, "id-1");
  EXPECT_EQ(session.tests[1].pain.worst, 3);
  EXPECT_EQ(session.tests[2].got_by, GotBy::result);
  EXPECT_EQ(session.tests[3].by_hand.at("lowest_kept_bpm"), 120);
  EXPECT_EQ(session.cautions.at("balance"), Answer::yes);
  EXPECT_FALSE(session.cautions.contains("heart"));  // not asked
}

struct Wrong {
  const char* pointer;
  json value;  // null: taken out
  const char* names;
};

// Each must be refused by a sentence that names the field, and, where a schema can know, by the schema too.
TEST(ReadSession, NamesTheFieldThatIsWrong) {
  const std::vector<Wrong> table = {
      {"/date", "2026-02-30", "date"},
      {"/date", nullptr, "date"},
      {"/person/code", "Jo Doe", "person.code"},
      {"/person/code", nullptr, "person.code"},
      {"/person/birth_year", 1876, "an age of 150"},
      {"/person/birth_year", "1988", "person.birth_year"},
      {"/person/sex", "f", "person.sex"},
      {"/person/mass_kg", 6000, "person.mass_kg"},
      {"/person/affected_side", "upper", "person.affected_side"},
      {"/cautions/clot", "maybe", "cautions.clot"},
      {"/cautions/clots", "no", "cautions.clots"},
      {"/tests/0/by_hand/knee_to_wall_cm", 105, "tests[0].by_hand.knee_to_wall_cm"},
      {"/tests/0/by_hand/reps", 10, "tests[0].by_hand.reps"},
      {"/tests/0/clip", "a.mp4", "tests[0].clip"},
      {"/tests/0/knee", "bent", "tests[0].knee"},
      {"/tests/1/knee", nullptr, "tests[1].knee"},
      {"/tests/1/side", "both", "tests[1].side"},
      {"/tests/1/side", "links", "tests[1].side"},
      {"/tests/1/pain/worst", 11, "tests[1].pain.worst"},
      {"/tests/1/pain/before", 7, "tests[1].pain.worst"},
      {"/tests/1/options/card", "a4", "tests[1].options.card"},
      {"/tests/1/options/end_fraction", 75, "tests[1].options.end_fraction"},
      {"/tests/2/side", "left", "heel-raise/left/straight"},
      {"/tests/2/clip", "left.mp4", "tests[2]"},
      {"/tests/3/test", "hops", "tests[3].test"},
      {"/schema", "risetrace/session/2", "schema"},
      {"/testz", 1, "testz"},
  };
  for (const Wrong& wrong : table) {
    json session = good();
    const json::json_pointer at(wrong.pointer);
    if (wrong.value.is_null()) {
      session.at(at.parent_pointer()).erase(at.back());
    } else {
      session[at] = wrong.value;
    }
    EXPECT_NE(complaint(session).find(wrong.names), std::string::npos)
        << wrong.pointer << " " << wrong.value << ": " << complaint(session);
  }
}

TEST(ReadSession, OneClipForTwoSlotsIsRefused) {
  json session = good();
  session["tests"][2].erase("result");
  session["tests"][2]["clip"] = "left.mp4";
  EXPECT_NE(complaint(session).find("is the file of heel-raise/left/straight too"), std::string::npos);
}

TEST(ReadSession, ASessionWithNothingInItIsRefusedAndOneWithACautionIsNot) {
  json session = good();
  session["tests"] = json::array();
  session["cautions"] = json::object();
  EXPECT_NE(complaint(session).find("there is nothing to say"), std::string::npos);
  session["cautions"]["clot"] = "yes";
  EXPECT_EQ(complaint(session), "");
}

TEST(ReadSession, WhatIsNoSessionAtAll) {
  for (const char* text : {"", "{", "[]", "null", "3", "\"a\"", "{}"}) {
    const auto read = session_from(text, "/visit", shipped());
    EXPECT_FALSE(read) << text;
  }
}

// Every mutilation of a good session is either read or refused in words: nothing is thrown.
TEST(ReadSession, AnyFieldMayBeAnything) {
  const json flat = good().flatten();
  for (const auto& [pointer, value] : flat.items()) {
    for (const json& other :
         {json(nullptr), json(-1), json(1e300), json("x"), json::array(), json::object(), json(true)}) {
      json session = good();
      session[json::json_pointer(pointer)] = other;
      (void)session_from(session.dump(), "/visit", shipped());
    }
  }
}

}  // namespace
}  // namespace risetrace::visit
