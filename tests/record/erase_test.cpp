// After an erasure no byte of the person is in any file of the record, and everyone else is untouched.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

using test::Desk;
using test::expect_fault;
using test::files_with;
using test::kept;
using test::opened;

// Long enough to need many pages, and to be told from anything else.
Visit marked_visit(const std::string& code, const std::string& mark, int day) {
  const std::string date = "2026-11-" + std::string(day < 10 ? "0" : "") + std::to_string(day);
  std::string text = "[";
  for (int i = 0; i < 500; ++i) text += "\"" + mark + "-" + std::to_string(i) + "\",";
  return {code, date, {{Kind::session, "", text + "0]"}, {Kind::log, "", "[\"" + mark + "\"]"}}, {}};
}

void fill(Record& record, const Desk& desk) {
  const fs::path clip = test::made_clip(desk, "own.mp4", 70000, 1);
  const fs::path shared = test::made_clip(desk, "shared.mp4", 5000, 2);
  for (int day = 1; day <= 6; ++day) {
    kept(record.save_session(marked_visit("GONE-77", "heron", day), {"heronkeeper", std::nullopt}));
    kept(record.save_session(marked_visit("STAYS-3", "magpie", day)));
  }
  kept(record.save_session(marked_visit("GONE-77", "heron-other", 1), {"heronkeeper", "heron was wrong"}));
  kept(record.save_session({"GONE-77", "2026-12-01", {}, {{"hop/left", clip}, {"hop/right", shared}}}));
  kept(record.save_session({"STAYS-3", "2026-12-01", {}, {{"hop/left", shared}}}));
}

TEST(Erase, NoByteOfCodeOrTextOrClipStays) {
  const Desk desk;
  auto record = opened(desk.file());
  fill(record, desk);
  const fs::path folder = desk.file().parent_path();
  const std::string clip_part = test::random_bytes(70000, 1).substr(30000, 64);
  for (const std::string& mark : {std::string("GONE-77"), std::string("heron"), clip_part}) {
    ASSERT_FALSE(files_with(folder, mark).empty()) << "the test looks in the wrong place";
  }
  const auto erased = kept(record.erase("GONE-77", "kb"));
  EXPECT_TRUE(erased.swept);
  for (const std::string& mark : {std::string("GONE-77"), std::string("heron"), clip_part}) {
    EXPECT_TRUE(files_with(folder, mark).empty()) << files_with(folder, mark).front();
  }
  EXPECT_EQ(erased.receipt.sessions, 7);
  EXPECT_EQ(erased.receipt.documents, 14);
  EXPECT_EQ(erased.receipt.clips, 2);
  EXPECT_EQ(erased.receipt.clip_bytes, 75000);
  EXPECT_EQ(erased.receipt.number.size(), 16U);
  expect_fault(record.sessions_of("GONE-77"), Fault::not_in_record);
  expect_fault(record.erase("GONE-77"), Fault::not_in_record);
  EXPECT_EQ(kept(record.receipts()).size(), 1U);
  EXPECT_EQ(kept(record.receipts()).at(0).by, "kb");
}

TEST(Erase, EveryoneElseStaysWhole) {
  const Desk desk;
  auto record = opened(desk.file());
  fill(record, desk);
  kept(record.erase("GONE-77"));
  EXPECT_EQ(test::problems_of(record), "");
  const auto sessions = kept(record.sessions_of("STAYS-3"));
  ASSERT_EQ(sessions.size(), 7U);
  EXPECT_EQ(kept(record.text_of(sessions[0].documents.at(0))), marked_visit("STAYS-3", "magpie", 1).documents[0].json);
  EXPECT_EQ(test::read_bytes(sessions[6].clips.at(0).file), test::random_bytes(5000, 2)) << "a clip both had";
}

TEST(Erase, WhileAnotherReadsTracesStayAndAreSaidAndMended) {
  const Desk desk;
  auto record = opened(desk.file(), 50);
  fill(record, desk);
  {
    SQLite::Database reader(desk.file().string(), SQLite::OPEN_READONLY);
    const SQLite::Transaction open_view(reader);
    ASSERT_EQ(reader.execAndGet("SELECT count(*) FROM person").getInt(), 2);
    EXPECT_FALSE(kept(record.erase("GONE-77")).swept);
    expect_fault(record.sessions_of("GONE-77"), Fault::not_in_record);
  }
  EXPECT_EQ(test::problems_of(record), "erasure-unfinished ");
  EXPECT_EQ(test::problems_of(record, true), "erasure-unfinished+ ");
  EXPECT_EQ(test::problems_of(record), "");
  EXPECT_TRUE(files_with(desk.file().parent_path(), "heron").empty());
}

TEST(Erase, OneThatWasCutShortIsFinishedAtTheNextOpening) {
  const Desk desk;
  std::string sha256;
  {
    auto record = opened(desk.file());
    kept(record.save_session({"GONE-77", "2026-12-01", {}, {{"hop/left", test::made_clip(desk, "c.mp4", 900, 1)}}}));
    sha256 = kept(record.sessions_of("GONE-77")).at(0).clips.at(0).sha256;
  }
  {  // as it stands when a program is killed right after the rows were deleted
    SQLite::Database database(desk.file().string(), SQLite::OPEN_READWRITE);
    database.exec("PRAGMA foreign_keys = ON; INSERT INTO doomed VALUES (''), ('" + sha256 + "'); DELETE FROM person");
  }
  ASSERT_TRUE(fs::exists(desk.clips() / sha256));
  auto record = opened(desk.file());
  EXPECT_FALSE(fs::exists(desk.clips() / sha256));
  EXPECT_TRUE(files_with(desk.file().parent_path(), "GONE-77").empty());
  EXPECT_EQ(test::problems_of(record), "");
}

TEST(Erase, AClipSavedAgainMeanwhileIsNotTakenAway) {
  const Desk desk;
  auto record = opened(desk.file());
  const fs::path clip = test::made_clip(desk, "c.mp4", 900, 1);
  kept(record.save_session({"A", "2026-12-01", {}, {{"hop/left", clip}}}));
  const std::string sha256 = kept(record.sessions_of("A")).at(0).clips.at(0).sha256;
  SQLite::Database(desk.file().string(), SQLite::OPEN_READWRITE).exec("INSERT INTO doomed VALUES ('" + sha256 + "')");
  auto again = opened(desk.file());
  EXPECT_TRUE(fs::exists(desk.clips() / sha256));
  EXPECT_EQ(test::problems_of(again), "");
}

}  // namespace
}  // namespace risetrace::record
