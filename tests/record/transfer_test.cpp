// Out of one record and into another: the same byte for byte, or nothing at all.
#include <gtest/gtest.h>

#include "record/made_record.h"
#include "record/manifest.h"
#include "record/zip_file.h"
#include "report/schema_check.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;
using test::Desk;
using test::expect_fault;
using test::kept;
using test::opened;

const SealCost quick{1, 8192};  // so that a test does not take the time of a guess

Exporting plain() { return {std::nullopt, {}, "0.1.0"}; }
Exporting sealed(const std::string& passphrase = "a heron on one leg") { return {passphrase, quick, "0.1.0"}; }

void fill(Record& record, const Desk& desk) {
  Visit visit = test::small_visit("R-014", "2026-11-02");
  visit.clips = {{"hop/left", test::made_clip(desk, "left.mp4", 200000, 1)},
                 {"hop/right", test::made_clip(desk, "same.mp4", 200000, 1)},
                 {"hop/both", test::made_clip(desk, "both", 0, 1)}};
  kept(record.save_session(visit, {"kb", std::nullopt}));
  kept(record.save_session({"R-014", "2026-11-02", {{Kind::result, "hop/left", "{}"}}, {}}));
  const Visit corrected{"R-014", "2026-11-02", {{Kind::session, "", R"({"said": "other"})"}}, {}};
  kept(record.save_session(corrected, {"kb, \"senior\"", "asked again"}));
  kept(record.save_session(test::small_visit("R-014", "2027-01-15")));
  kept(record.save_session(test::small_visit("OTHER", "2027-01-15")));
}

std::string exported(const Record& record, const Desk& desk, const Exporting& exporting) {
  const fs::path out = desk / "out";
  kept(record.export_person("R-014", out, exporting));
  return test::read_bytes(out);
}

// A record that is still as empty as before, and has nothing lying about.
void expect_nothing_taken(Record& record, const Desk& desk) {
  EXPECT_TRUE(kept(record.people()).empty());
  EXPECT_EQ(test::problems_of(record), "");
  EXPECT_TRUE(!fs::exists(desk.clips()) || fs::is_empty(desk.clips()));
}

TEST(Transfer, ThereAndBackIsTheSameByteForByte) {
  for (const Exporting& exporting : {plain(), sealed()}) {
    const Desk here;
    const Desk there;
    auto first = opened(here.file());
    fill(first, here);
    kept(first.export_person("R-014", here / "out", exporting));
    auto second = opened(there.file());
    const auto imported = kept(second.import(here / "out", exporting.passphrase));
    EXPECT_EQ(imported.code, "R-014");
    EXPECT_EQ(imported.sessions_new, 2);
    EXPECT_EQ(kept(second.people()).size(), 1U);
    EXPECT_EQ(exported(first, here, plain()), exported(second, there, plain()));
    const auto ours = kept(first.sessions_of("R-014"));
    const auto theirs = kept(second.sessions_of("R-014"));
    for (std::size_t i = 0; i < ours[0].documents.size(); ++i) {
      EXPECT_EQ(kept(first.text_of(ours[0].documents[i])), kept(second.text_of(theirs[0].documents[i])));
    }
    EXPECT_EQ(theirs[0].revisions.at(2).why, "asked again");
    EXPECT_EQ(test::read_bytes(theirs[0].clips.at(1).file), test::random_bytes(200000, 1));
    EXPECT_EQ(test::problems_of(second), "");
  }
}

TEST(Transfer, TheManifestFitsItsSchemaAndHoldsNobodyElse) {
  const Desk desk;
  auto record = opened(desk.file());
  fill(record, desk);
  const std::string all = exported(record, desk, plain());
  EXPECT_EQ(all.find("OTHER"), std::string::npos);
  const auto zip = kept(ZipReader::open(desk / "out"));
  const std::string manifest = kept(zip.text("manifest.json", 1 << 20));
  EXPECT_EQ(test::misfit("record-export.schema.json", manifest), "");
  EXPECT_EQ(manifest_text(kept(read_manifest(manifest))), manifest);
  const std::string csv = kept(zip.text("sessions.csv", 1 << 20));
  EXPECT_NE(csv.find("\r\n2026-11-02,session,,2,yes,"), std::string::npos) << csv;
  EXPECT_NE(csv.find(",\"kb, \"\"senior\"\"\",asked again,2026-11-02/session.json,17,"), std::string::npos) << csv;
  EXPECT_EQ(kept(zip.text("2026-11-02/replaced/0/session.json", 100)), R"({"said": "first"})");
  EXPECT_EQ(kept(zip.text("2026-11-02/clip/hop/left.mp4", 200000)), test::random_bytes(200000, 1));
}

TEST(Transfer, ASealedFileShowsNothing) {
  const Desk desk;
  auto record = opened(desk.file());
  fill(record, desk);
  const std::string all = exported(record, desk, sealed());
  for (const char* word : {"R-014", "2026-11-02", "manifest", "heel"}) {
    EXPECT_EQ(all.find(word), std::string::npos) << word;
  }
  EXPECT_NE(all, exported(record, desk, sealed())) << "each sealing has a salt of its own";
  expect_fault(record.export_person("R-014", desk / "o", {"short", quick, ""}), Fault::option_wrong, "8 bytes");
  EXPECT_FALSE(fs::exists(desk / "o"));
}

TEST(Transfer, ImportedTwiceItIsThereAlready) {
  const Desk here;
  const Desk there;
  auto first = opened(here.file());
  fill(first, here);
  exported(first, here, plain());
  auto second = opened(there.file());
  kept(second.import(here / "out", std::nullopt));
  const auto again = kept(second.import(here / "out", std::nullopt));
  EXPECT_EQ(again.sessions_there, 2);
  EXPECT_EQ(again.sessions_new + again.sessions_grown, 0);
  kept(first.save_session({"R-014", "2027-01-15", {{Kind::log, "", "[]"}}, {}}));
  kept(first.save_session(test::small_visit("R-014", "2027-02-01")));
  exported(first, here, plain());
  const auto later = kept(second.import(here / "out", std::nullopt));
  EXPECT_EQ(later.sessions_there, 1);
  EXPECT_EQ(later.sessions_grown, 1);
  EXPECT_EQ(later.sessions_new, 1);
  EXPECT_EQ(exported(first, here, plain()), exported(second, there, plain()));
}

TEST(Transfer, AnOlderFileTakesNothingBack) {
  const Desk here;
  const Desk there;
  auto first = opened(here.file());
  fill(first, here);
  exported(first, here, plain());
  kept(first.save_session({"R-014", "2027-01-15", {{Kind::log, "", "[]"}}, {}}));
  EXPECT_EQ(kept(first.import(here / "out", std::nullopt)).sessions_there, 2);
  EXPECT_EQ(kept(first.sessions_of("R-014")).at(1).documents.size(), 4U);
}

TEST(Transfer, WhatPartedWaysIsRefusedWhole) {
  const Desk here;
  const Desk there;
  auto first = opened(here.file());
  fill(first, here);
  exported(first, here, plain());
  auto second = opened(there.file());
  kept(second.save_session(test::small_visit("R-014", "2027-01-15", "otherwise")));
  expect_fault(second.import(here / "out", std::nullopt), Fault::already_in_record, "2027-01-15");
  EXPECT_EQ(kept(second.sessions_of("R-014")).size(), 1U);
  EXPECT_EQ(test::problems_of(second), "") << "the refused clips must not stay";
}

TEST(Transfer, AnErasedPersonCanComeBackFromAFile) {
  const Desk desk;
  auto record = opened(desk.file());
  fill(record, desk);
  const std::string before = exported(record, desk, plain());
  kept(record.erase("R-014"));
  EXPECT_EQ(kept(record.import(desk / "out", std::nullopt)).sessions_new, 2);
  EXPECT_EQ(exported(record, desk, plain()), before);
}

TEST(Transfer, AWrongOrMissingPassphrase) {
  const Desk here;
  const Desk there;
  auto first = opened(here.file());
  fill(first, here);
  exported(first, here, sealed());
  auto second = opened(there.file());
  expect_fault(second.import(here / "out", "a heron on two legs"), Fault::passphrase_wrong);
  expect_fault(second.import(here / "out", ""), Fault::passphrase_wrong);
  expect_fault(second.import(here / "out", std::nullopt), Fault::passphrase_missing);
  expect_nothing_taken(second, there);
}

// Any bit of a sealed file: refused, and nothing kept.
TEST(Transfer, ASealedFileThatWasChangedIsRefused) {
  const Desk here;
  const Desk there;
  auto first = opened(here.file());
  fill(first, here);
  const std::string whole = exported(first, here, sealed());
  auto second = opened(there.file());
  std::vector<std::size_t> places;
  for (std::size_t at = 0; at < 120; ++at) places.push_back(at);
  for (std::size_t at = 120; at < whole.size(); at += whole.size() / 60) places.push_back(at);
  for (std::size_t back = 1; back < 20; ++back) places.push_back(whole.size() - back);
  for (const std::size_t at : places) {
    std::string changed = whole;
    changed[at] = static_cast<char>(changed[at] ^ 1);
    test::write_bytes(there / "changed", changed);
    const auto result = second.import(there / "changed", "a heron on one leg");
    ASSERT_FALSE(result.ok()) << "byte " << at;
    const Fault fault = result.error().fault;
    EXPECT_TRUE(fault == Fault::archive_unreadable || fault == Fault::passphrase_wrong) << sentence(result.error());
  }
  expect_nothing_taken(second, there);
}

TEST(Transfer, AFileThatWasCutOffOrLengthenedIsRefused) {
  for (const Exporting& exporting : {plain(), sealed()}) {
    const Desk here;
    const Desk there;
    auto first = opened(here.file());
    fill(first, here);
    const std::string whole = exported(first, here, exporting);
    auto second = opened(there.file());
    std::vector<std::size_t> lengths = {0, 1, 15, 16, 71, 72, 73, 72 + 16, whole.size() - 1, whole.size() - 22};
    for (std::size_t pieces = 1; 72 + pieces * 65553 < whole.size(); ++pieces) lengths.push_back(72 + pieces * 65553);
    for (const std::size_t length : lengths) {
      test::write_bytes(there / "cut", whole.substr(0, length));
      expect_fault(second.import(there / "cut", exporting.passphrase), Fault::archive_unreadable);
    }
    test::write_bytes(there / "longer", whole + "x");
    EXPECT_FALSE(second.import(there / "longer", exporting.passphrase).ok());
    expect_nothing_taken(second, there);
  }
}

TEST(Transfer, PiecesOfASealedFileCannotChangePlaces) {
  const Desk here;
  const Desk there;
  auto first = opened(here.file());
  fill(first, here);
  std::string whole = exported(first, here, sealed());
  ASSERT_GT(whole.size(), 72U + 3 * 65553);
  const std::string second_piece = whole.substr(72 + 65553, 65553);
  std::string dropped = whole;
  dropped.erase(72 + 65553, 65553);
  std::string doubled = whole;
  doubled.insert(72 + 65553, second_piece);
  std::string swapped =
      whole.substr(0, 72 + 65553) + whole.substr(72 + 2 * 65553, 65553) + second_piece + whole.substr(72 + 3 * 65553);
  auto second = opened(there.file());
  for (const std::string& changed : {dropped, doubled, swapped}) {
    test::write_bytes(there / "changed", changed);
    expect_fault(second.import(there / "changed", "a heron on one leg"), Fault::archive_unreadable, "changed");
  }
  expect_nothing_taken(second, there);
}

TEST(Transfer, NothingIsWrittenWhereNothingCanBe) {
  const Desk desk;
  auto record = opened(desk.file());
  fill(record, desk);
  expect_fault(record.export_person("NOBODY", desk / "o", plain()), Fault::not_in_record);
  expect_fault(record.export_person("R-014", desk / "no" / "o", plain()), Fault::cannot_write, "o.partial");
  EXPECT_EQ(test::problems_of(record), "");
}

}  // namespace
}  // namespace risetrace::record
