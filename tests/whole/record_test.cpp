// `risetrace record` as it is run: what it says, what it leaves, its exit status.
#include <gtest/gtest.h>

#include <algorithm>

#include "report/schema_check.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

namespace fs = std::filesystem;

// A record in a place of its own, with one visit kept.
class RecordCommand : public ::testing::Test {
 protected:
  void SetUp() override {
    write_file(place_ / "session.json", "{\"said\": \"no pain\"}\n");
    write_file(place_ / "other.json", "{\"said\": \"some pain\"}\n");
    write_file(place_ / "result.json", "{\"count\": 21}");
    write_file(place_ / "clip.MP4", std::string(5000, 'c'));
    write_file(place_ / "passphrase", "a heron on one leg\n");
    const Ran ran =
        add({"--session", place_ / "session.json", "--result", "heel-raise/left/straight=" + (place_ / "result.json"),
             "--clip", "heel-raise/left/straight=" + (place_ / "clip.MP4"), "--by", "kb"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(ran.out, "R-014, visit of 2026-11-02: kept, as saving 0\n");
  }
  Ran record(Words words, const std::string& file = "record.sqlite") {
    words.insert(words.begin(), "record");
    words.insert(words.end(), {"--record", place_ / file});
    return risetrace_run(words);
  }
  Ran add(const Words& more) {
    Words words = {"add", "R-014", "--date", "2026-11-02"};
    words.insert(words.end(), more.begin(), more.end());
    return record(words);
  }
  nlohmann::json json_of(const Words& words, const std::string& schema) {
    const Ran ran = record(words);
    EXPECT_EQ(ran.err, "");
    EXPECT_EQ(misfit(schema, ran.out), "") << ran.out;
    return nlohmann::json::parse(ran.out, nullptr, false);
  }
  Place place_;
};

TEST_F(RecordCommand, ListsPeopleAndVisits) {
  EXPECT_EQ(record({"list"}).out, "R-014                1 visit     2026-11-02\n");
  EXPECT_EQ(record({"list", "R-014"}).out, "2026-11-02  2 documents    1 clip\n");
  EXPECT_EQ(json_of({"list", "--json"}, "record-list.schema.json")["people"][0]["code"], "R-014");
  const auto sessions = json_of({"list", "R-014", "--json"}, "record-sessions.schema.json");
  EXPECT_EQ(sessions["sessions"][0]["documents"].size(), 2U);
  EXPECT_FALSE(sessions["sessions"][0]["documents"][0].contains("json"));
  expect_refused(record({"list", "NOBODY"}), 4, {"NOBODY"});
}

TEST_F(RecordCommand, ShowsAVisitAndItsDocuments) {
  const Ran shown = record({"show", "R-014"});
  for (const char* word :
       {"saving 0", "by kb", "result/heel-raise/left/straight", "clip/heel-raise/left/straight", "5000 bytes"}) {
    EXPECT_NE(shown.out.find(word), std::string::npos) << word << "\n" << shown.out;
  }
  EXPECT_EQ(record({"show", "R-014", "--document", "session"}).out, "{\"said\": \"no pain\"}\n");
  EXPECT_EQ(record({"show", "R-014", "2026-11-02", "--document", "result/heel-raise/left/straight"}).out,
            "{\"count\": 21}");
  const auto all = json_of({"show", "R-014", "--json"}, "record-sessions.schema.json");
  EXPECT_EQ(all["sessions"][0]["documents"][0]["json"]["said"], "no pain");
  EXPECT_EQ(read_file(all["sessions"][0]["clips"][0]["file"].get<std::string>()), std::string(5000, 'c'));
  expect_refused(record({"show", "R-014", "2026-11-03"}), 4, {"2026-11-03"});
  expect_refused(record({"show", "R-014", "--document", "screen"}), 4, {"screen"});
}

TEST_F(RecordCommand, KeepsTheOldBesideACorrection) {
  expect_refused(add({"--session", place_ / "other.json"}), 4, {"another session"});
  EXPECT_EQ(add({"--session", place_ / "session.json"}).out, "R-014, visit of 2026-11-02: kept already, as saving 0\n");
  const Ran corrected = add({"--session", place_ / "other.json", "--correct", "asked again", "--by", "kb"});
  EXPECT_EQ(corrected.out, "R-014, visit of 2026-11-02: kept, as saving 1\n") << corrected.err;
  EXPECT_EQ(record({"show", "R-014", "--document", "session"}).out, "{\"said\": \"some pain\"}\n");
  const std::string shown = record({"show", "R-014"}).out;
  EXPECT_NE(shown.find("corrected, asked again"), std::string::npos) << shown;
  EXPECT_NE(shown.find("replaced"), std::string::npos) << shown;
}

TEST_F(RecordCommand, ExportsAndImportsPlainAndSealed) {
  const Ran plain = record({"export", "R-014", "--out", place_ / "out.zip"});
  EXPECT_EQ(plain.status, 0) << plain.err;
  EXPECT_NE(plain.out.find("Anyone who has this file can read it"), std::string::npos);
  const Ran sealed =
      record({"export", "R-014", "--out", place_ / "sealed", "--passphrase-file", place_ / "passphrase"});
  EXPECT_EQ(sealed.out, (place_ / "sealed") + "\n");
  for (const Words& words : {Words{"import", place_ / "out.zip"},
                             Words{"import", place_ / "sealed", "--passphrase-file", place_ / "passphrase"}}) {
    const std::string file = words.size() == 2 ? "second.sqlite" : "third.sqlite";
    EXPECT_EQ(record(words, file).out, "R-014: 1 visit taken in\n");
    EXPECT_EQ(record(words, file).out, "R-014: 0 visits taken in, 1 there already\n");
    EXPECT_EQ(record({"show", "R-014"}, file).out, record({"show", "R-014"}).out);
    EXPECT_EQ(record({"export", "R-014", "--out", place_ / "again.zip"}, file).status, 0);
    EXPECT_TRUE(read_file(place_ / "again.zip") == read_file(place_ / "out.zip"));
    // What stands there already is somebody's.
    expect_refused(record({"export", "R-014", "--out", place_ / "again.zip"}, file), 5, {"is there already", "--out"});
    std::filesystem::remove(place_ / "again.zip");
  }
  write_file(place_ / "wrong", "a heron on two legs\n");
  expect_refused(record({"import", place_ / "sealed", "--passphrase-file", place_ / "wrong"}), 3, {"passphrase"});
  write_file(place_ / "empty", "\n");
  expect_refused(record({"import", place_ / "sealed", "--passphrase-file", place_ / "empty"}), 2, {"empty"});
  expect_refused(record({"import", place_ / "clip.MP4"}), 3, {"ZIP"});
  expect_refused(record({"export", "R-014", "--out", place_ / "no/out.zip"}), 5, {"out.zip"});
}

TEST_F(RecordCommand, AnyToolCanUnpackAnExport) {
  RISETRACE_NEEDS_TOOL("unzip");
  ASSERT_EQ(record({"export", "R-014", "--out", place_ / "out.zip"}).status, 0);
  const Ran unpacked = run({"unzip", "-q", place_ / "out.zip", "-d", place_ / "unpacked"});
  EXPECT_EQ(unpacked.status, 0) << unpacked.err;
  EXPECT_EQ(read_file(place_ / "unpacked/2026-11-02/session.json"), "{\"said\": \"no pain\"}\n");
  EXPECT_EQ(read_file(place_ / "unpacked/2026-11-02/clip/heel-raise/left/straight.mp4"), std::string(5000, 'c'));
  EXPECT_EQ(misfit("record-export.schema.json", read_file(place_ / "unpacked/manifest.json")), "");
}

TEST_F(RecordCommand, ErasesOnlyWhenTheCodeIsGivenAgain) {
  expect_refused(record({"erase", "R-014"}), 2, {"nobody is there to be asked", "--yes-erase R-014"});
  expect_refused(record({"erase", "R-014", "--yes-erase", "R-015"}), 2, {"R-015"});
  expect_refused(record({"erase", "R-015", "--yes-erase", "R-015"}), 4, {"R-015"});
  EXPECT_EQ(record({"list"}).out.substr(0, 5), "R-014");
  const auto receipt = json_of({"erase", "R-014", "--yes-erase", "R-014", "--json"}, "record-receipt.schema.json");
  EXPECT_EQ(receipt["documents"], 2);
  EXPECT_EQ(receipt["swept"], true);
  EXPECT_EQ(record({"list"}).out, "Nobody is in the record.\n");
  EXPECT_EQ(record({"list", "--erased"}).out.substr(0, 16), receipt["number"].get<std::string>());
  for (const std::string& name : {place_ / "record.sqlite", place_ / "record.sqlite-wal"}) {
    EXPECT_EQ(read_file(name).find("R-014"), std::string::npos) << name;
  }
}

TEST_F(RecordCommand, VerifiesAndMends) {
  EXPECT_EQ(record({"verify"}).out, "Everything is as it was saved.\n");
  write_file((place_ / "record.sqlite-clips/") + std::string(64, 'a'), "x");
  const Ran found = record({"verify"});
  EXPECT_EQ(found.status, 4);
  EXPECT_NE(found.err.find("1 problem was found"), std::string::npos) << found.err;
  EXPECT_NE(found.err.find("--mend"), std::string::npos) << found.err;
  const Ran mended = record({"verify", "--mend"});
  EXPECT_EQ(mended.status, 0) << mended.err;
  EXPECT_NE(mended.out.find("(mended)"), std::string::npos);
  EXPECT_EQ(json_of({"verify", "--json"}, "record-verify.schema.json")["problems"].size(), 0U);
}

TEST_F(RecordCommand, FindsTheRecordByTheEnvironment) {
  const std::string visit = "R-014                1 visit     2026-11-02\n";
  const std::string data = place_ / "data/risetrace";
  fs::create_directories(data);
  fs::copy_file(place_ / "record.sqlite", data + "/record.sqlite");
  fs::create_directories(place_ / "home/.local/share");
  fs::create_directory_symlink(data, place_ / "home/.local/share/risetrace");
  const auto list = [](const std::map<std::string, std::string>& environment) {
    return risetrace_run({"record", "list"}, {environment, std::nullopt, {}});
  };
  const std::string none;
  EXPECT_EQ(list({{"RISETRACE_RECORD", place_ / "record.sqlite"}}).out, visit);
  EXPECT_EQ(list({{"RISETRACE_RECORD", none}, {"XDG_DATA_HOME", place_ / "data"}}).out, visit);
  EXPECT_EQ(list({{"RISETRACE_RECORD", none}, {"XDG_DATA_HOME", none}, {"HOME", place_ / "home"}}).out, visit);
  expect_refused(list({{"RISETRACE_RECORD", place_ / "no.sqlite"}, {"HOME", place_ / "home"}}), 4, {"no.sqlite"});
  expect_refused(list({{"RISETRACE_RECORD", none}, {"XDG_DATA_HOME", none}, {"HOME", none}}), 2, {"--record"});
}

TEST_F(RecordCommand, RefusesWrongCommandLines) {
  expect_refused(risetrace_run({"record"}), 2);
  expect_refused(risetrace_run({"record", "burn"}), 2, {"burn"});
  expect_refused(record({"add", "R-014", "--date", "yesterday", "--session", place_ / "session.json"}), 2,
                 {"yesterday"});
  expect_refused(record({"add", "Jo Runner", "--date", "2026-11-02", "--session", place_ / "session.json"}), 2,
                 {"never a name"});
  expect_refused(add({}), 2, {"nothing"});
  expect_refused(add({"--session", place_ / "absent.json"}), 2, {"absent.json"});
  expect_refused(add({"--log", place_ / "clip.MP4"}), 2, {"JSON"});
  expect_refused(add({"--result", "left"}), 2, {"SLOT=FILE"});
  expect_refused(record({"list"}, "clip.MP4"), 3, {"clip.MP4"});
  EXPECT_EQ(read_file(place_ / "clip.MP4"), std::string(5000, 'c')) << "what is no record is left alone";
}

}  // namespace
}  // namespace risetrace::test
