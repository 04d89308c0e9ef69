// Each kind of damage is found and named; what can be cleared is cleared, and nothing else is touched.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/stat.h>

#include <cstdio>

#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

using test::Desk;
using test::expect_fault;
using test::kept;
using test::opened;
using test::problems_of;

class Verify : public ::testing::Test {
 protected:
  void SetUp() override {
    Visit visit = test::small_visit("R-014", "2026-11-02");
    visit.clips.push_back({"hop/left", test::made_clip(desk_, "c.mp4", 5000, 3)});
    kept(record_.save_session(visit));
    clip_ = kept(record_.sessions_of("R-014")).at(0).clips.at(0).file;
    ASSERT_EQ(problems_of(record_), "");
  }
  void change(const std::string& sql) { SQLite::Database(desk_.file().string(), SQLite::OPEN_READWRITE).exec(sql); }

  Desk desk_;
  Record record_ = opened(desk_.file());
  fs::path clip_;
};

TEST_F(Verify, AChangedDocument) {
  const auto document = kept(record_.sessions_of("R-014")).at(0).documents.at(1);
  change("UPDATE document SET json = replace(json, '21', '25') WHERE id = " + std::to_string(document.row));
  EXPECT_EQ(problems_of(record_, true), "document-damaged ");
  expect_fault(record_.text_of(document), Fault::record_damaged);
  expect_fault(record_.export_person("R-014", desk_ / "out.zip", {}), Fault::record_damaged);
  EXPECT_FALSE(fs::exists(desk_ / "out.zip"));
}

TEST_F(Verify, AChangedClip) {
  std::string bytes = test::read_bytes(clip_);
  bytes[2500] = static_cast<char>(bytes[2500] ^ 1);
  test::write_bytes(clip_, bytes);
  EXPECT_EQ(problems_of(record_, true), "clip-damaged ");
  expect_fault(record_.export_person("R-014", desk_ / "out.zip", {}), Fault::record_damaged);
}

TEST_F(Verify, AMissingClipCanBeSavedAgain) {
  fs::remove(clip_);
  EXPECT_EQ(problems_of(record_, true), "clip-missing ");
}

TEST_F(Verify, AClipThatBelongsToNobody) {
  const fs::path stray = desk_.clips() / std::string(64, 'a');
  test::write_bytes(stray, "x");
  EXPECT_EQ(problems_of(record_), "clip-of-nobody ");
  EXPECT_TRUE(fs::exists(stray));
  EXPECT_EQ(problems_of(record_, true), "clip-of-nobody+ ");
  EXPECT_FALSE(fs::exists(stray));
  EXPECT_EQ(problems_of(record_), "");
}

TEST_F(Verify, WhatASavingLeftButNotWhatOneIsWriting) {
  const fs::path left = desk_.clips() / "aside-0011223344556677";
  const fs::path live = desk_.clips() / "aside-8899aabbccddeeff";
  test::write_bytes(left, "x");
  test::write_bytes(live, "x");
  std::FILE* held = std::fopen(live.c_str(), "r");
  ASSERT_EQ(::flock(fileno(held), LOCK_EX), 0);
  EXPECT_EQ(problems_of(record_), "leftover ");
  EXPECT_EQ(problems_of(record_, true), "leftover+ ");
  EXPECT_FALSE(fs::exists(left));
  EXPECT_TRUE(fs::exists(live));
  std::fclose(held);
  opened(desk_.file());
  EXPECT_FALSE(fs::exists(live)) << "opening clears it once nobody holds it";
}

TEST_F(Verify, AStrangersFileIsNamedAndLeft) {
  test::write_bytes(desk_.clips() / "notes.txt", "x");
  EXPECT_EQ(problems_of(record_, true), "stranger ");
  EXPECT_TRUE(fs::exists(desk_.clips() / "notes.txt"));
}

TEST_F(Verify, RightsOfOthers) {
  ::chmod(desk_.file().c_str(), 0644);
  ::chmod(desk_.clips().c_str(), 0755);
  EXPECT_EQ(problems_of(record_), "rights rights ");
  EXPECT_EQ(problems_of(record_, true), "rights+ rights+ ");
  EXPECT_EQ(problems_of(record_), "");
}

TEST_F(Verify, ARowWithoutItsOwner) {
  change("DELETE FROM revision");  // foreign keys are off in this connection
  EXPECT_NE(problems_of(record_).find("row-without-owner"), std::string::npos);
}

TEST_F(Verify, ABrokenPageIsFoundOrRefused) {
  change("PRAGMA wal_checkpoint(TRUNCATE)");
  const std::string whole = test::read_bytes(desk_.file());
  int noticed = 0;
  int tried = 0;
  for (std::size_t at = 4096; at + 64 < whole.size(); at += 4096, ++tried) {
    const fs::path copy = desk_ / "copy.sqlite";
    std::string broken = whole;
    for (std::size_t i = 0; i < 16; ++i) broken[at + i] = static_cast<char>(0xee);
    test::write_bytes(copy, broken);
    fs::remove(copy.string() + "-wal");
    fs::remove(copy.string() + "-shm");
    auto record = Record::open(copy);
    const auto problems = record ? record->verify(false) : Result<std::vector<Problem>>(record.error());
    if (!problems) {
      EXPECT_EQ(exit_status(problems.error().fault), 3) << sentence(problems.error());
    }
    bool damaged = !problems.ok();
    for (const auto& one : problems ? *problems : std::vector<Problem>{}) damaged |= one.code == "database-damaged";
    noticed += damaged ? 1 : 0;
  }
  EXPECT_GE(tried, 8);
  EXPECT_EQ(noticed, tried);
}

}  // namespace
}  // namespace risetrace::record
