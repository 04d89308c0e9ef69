// Opening: made, brought up to date from version 1, refused where it is newer, another program's, or no record at all.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <thread>

#include "record/digest.h"
#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

using test::Desk;
using test::expect_fault;
using test::kept;
using test::opened;

int number(const fs::path& file, const std::string& query) {
  SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
  return database.execAndGet(query).getInt();
}

// As the first version of the record wrote it, written out here so that a later change of the code cannot change it.
void make_version_1(const fs::path& file) {
  fs::create_directories(file.parent_path());
  SQLite::Database database(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  database.exec(R"(
CREATE TABLE person (id INTEGER PRIMARY KEY, code TEXT NOT NULL UNIQUE) STRICT;
CREATE TABLE session (id INTEGER PRIMARY KEY, person INTEGER NOT NULL REFERENCES person (id) ON DELETE CASCADE,
  date TEXT NOT NULL, UNIQUE (person, date)) STRICT;
CREATE TABLE revision (session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
  number INTEGER NOT NULL CHECK (number >= 0), at TEXT NOT NULL, by_whom TEXT, why TEXT,
  PRIMARY KEY (session, number)) STRICT;
CREATE TABLE document (id INTEGER PRIMARY KEY, session INTEGER NOT NULL, revision INTEGER NOT NULL, kind TEXT NOT NULL,
  slot TEXT NOT NULL, sha256 TEXT NOT NULL CHECK (length(sha256) = 64), json TEXT NOT NULL,
  UNIQUE (session, kind, slot, revision),
  FOREIGN KEY (session, revision) REFERENCES revision (session, number) ON DELETE CASCADE) STRICT;
CREATE TABLE clip (id INTEGER PRIMARY KEY, session INTEGER NOT NULL, revision INTEGER NOT NULL, slot TEXT NOT NULL,
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64), bytes INTEGER NOT NULL CHECK (bytes >= 0), extension TEXT NOT NULL,
  UNIQUE (session, slot, revision),
  FOREIGN KEY (session, revision) REFERENCES revision (session, number) ON DELETE CASCADE) STRICT;
CREATE INDEX clip_by_sha256 ON clip (sha256);
INSERT INTO person VALUES (1, 'R-014');
INSERT INTO session VALUES (1, 1, '2026-11-02');
INSERT INTO revision VALUES (1, 0, '2026-11-02T09:30:00Z', 'kb', NULL);
PRAGMA user_version = 1;
PRAGMA application_id = 0x52545243;
)");
  SQLite::Statement insert(database, "INSERT INTO document VALUES (1, 1, 0, 'session', '', ?, '{\"v\": 1}')");
  insert.bind(1, sha256_of("{\"v\": 1}"));
  insert.exec();
  fs::permissions(file, fs::perms::owner_read | fs::perms::owner_write);
}

TEST(Open, ANewRecordSaysWhatItIs) {
  const Desk desk;
  opened(desk.file());
  EXPECT_EQ(number(desk.file(), "PRAGMA application_id"), 0x52545243);
  EXPECT_EQ(number(desk.file(), "PRAGMA user_version"), 2);
  expect_fault(Record::open(desk / "no" / "record"), Fault::not_in_record, "no record");
  EXPECT_FALSE(fs::exists(desk / "no")) << "reading must make nothing";
}

TEST(Open, Version1IsBroughtUpToDateAndKeepsAll) {
  const Desk desk;
  make_version_1(desk.file());
  auto record = opened(desk.file());
  EXPECT_EQ(number(desk.file(), "PRAGMA user_version"), 2);
  const auto session = kept(record.sessions_of("R-014")).at(0);
  EXPECT_EQ(kept(record.text_of(session.documents.at(0))), "{\"v\": 1}");
  EXPECT_EQ(session.revisions.at(0).by, "kb");
  EXPECT_EQ(test::problems_of(record), "");
  EXPECT_EQ(kept(record.erase("R-014")).receipt.documents, 1) << "the tables that version 1 did not have";
}

TEST(Open, TablesOfAnOldAndANewRecordAreTheSame) {
  const Desk old;
  const Desk fresh;
  make_version_1(old.file());
  opened(old.file());
  opened(fresh.file());
  const auto tables = [](const fs::path& file) {
    std::string text;
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    SQLite::Statement row(
        database,
        "SELECT m.name, c.name, c.type, c.\"notnull\", c.pk FROM sqlite_schema m, pragma_table_xinfo(m.name) c "
        "ORDER BY 1, 2");
    while (row.executeStep()) {
      for (int i = 0; i < 5; ++i) text += row.getColumn(i).getString() + ' ';
    }
    return text;
  };
  EXPECT_EQ(tables(old.file()), tables(fresh.file()));
  EXPECT_NE(tables(fresh.file()).find("receipt"), std::string::npos);
}

TEST(Open, ANewerOneIsRefusedAndLeftAlone) {
  const Desk desk;
  opened(desk.file());
  SQLite::Database(desk.file().string(), SQLite::OPEN_READWRITE).exec("PRAGMA user_version = 3");
  const std::string before = test::read_bytes(desk.file());
  expect_fault(Record::open(desk.file()), Fault::record_newer, "version 3");
  EXPECT_EQ(test::read_bytes(desk.file()), before);
}

TEST(Open, RefusesWhatIsNoRecord) {
  const Desk desk;
  test::write_bytes(desk / "text",
                    "this is a letter, not a record; it is longer than any header could be, by far and more");
  expect_fault(Record::open(desk / "text"), Fault::record_unreadable);
  const fs::path other = desk / "other.sqlite";
  SQLite::Database(other.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec("CREATE TABLE recipe (a)");
  expect_fault(Record::open(other), Fault::record_unreadable, "another program's");
  SQLite::Database(other.string(), SQLite::OPEN_READWRITE).exec("PRAGMA application_id = 7; PRAGMA user_version = 1");
  expect_fault(Record::open(other), Fault::record_unreadable, "another program's");
  expect_fault(Record::open(desk / ""), Fault::record_unreadable, "plain file");
}

TEST(Open, AnEmptyFileIsTheBeginningOfARecord) {  // made by a program that was killed before it wrote
  const Desk desk;
  test::write_bytes(desk / "r.sqlite", "");
  auto record = opened(desk / "r.sqlite");
  kept(record.save_session(test::small_visit("A", "2026-11-02")));
}

TEST(Open, AManyAtOnceMakeOneRecord) {
  const Desk desk;
  make_version_1(desk / "old.sqlite");
  for (const fs::path& file : {desk.file(), desk / "old.sqlite"}) {
    std::vector<pid_t> children;
    for (int i = 0; i < 8; ++i) {
      const pid_t child = ::fork();
      if (child == 0) {
        auto record = Record::open(file, {.create = true});
        const bool saved = record && record->save_session(test::small_visit("P" + std::to_string(i), "2026-11-02"));
        ::_exit(saved ? 0 : 1);
      }
      children.push_back(child);
    }
    for (const pid_t child : children) {
      int state = 0;
      ::waitpid(child, &state, 0);
      EXPECT_EQ(state, 0);
    }
    auto record = opened(file);
    EXPECT_EQ(kept(record.people()).size(), file == desk.file() ? 8U : 9U);
  }
}

TEST(Open, ABusyRecordIsSaidToBeBusy) {
  const Desk desk;
  auto record = opened(desk.file(), 50);
  SQLite::Database other(desk.file().string(), SQLite::OPEN_READWRITE);
  other.exec("BEGIN IMMEDIATE");
  expect_fault(record.save_session(test::small_visit("A", "2026-11-02")), Fault::record_busy);
  other.exec("ROLLBACK");
  kept(record.save_session(test::small_visit("A", "2026-11-02")));
}

}  // namespace
}  // namespace risetrace::record
