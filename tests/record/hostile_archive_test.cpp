// Files made to do harm: to fill memory or disk, to write elsewhere, to say one thing and hold another.
#include <gtest/gtest.h>
#include <zip.h>

#include <nlohmann/json.hpp>

#include "record/digest.h"
#include "record/made_record.h"
#include "record/zip_file.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using test::Desk;
using test::expect_fault;
using test::kept;
using test::opened;

const std::string text = R"({"said": "first"})";

// A whole manifest of one visit with one document.
json good_manifest() {
  return json::parse(R"({"schema": "risetrace/record-export/1", "program": {"name": "risetrace", "version": "0.1.0"},
    "code": "R-014", "sessions": [{"date": "2026-11-02",
      "revisions": [{"number": 0, "at": "2026-11-02T09:30:00Z", "by": null, "why": null}],
      "documents": [{"kind": "session", "slot": "", "revision": 0, "current": true,
                     "path": "2026-11-02/session.json", "sha256": ")" +
                     sha256_of(text) + R"(", "bytes": 17}],
      "clips": []}]})");
}

struct Part {
  std::string name;
  std::string bytes;
};

// By libzip's own means, without our writer's order.
void make_zip(const fs::path& file, const std::vector<Part>& parts) {
  fs::remove(file);
  zip_t* out = zip_open(file.c_str(), ZIP_CREATE, nullptr);
  for (const Part& part : parts) {
    zip_source_t* source = zip_source_buffer(out, part.bytes.data(), part.bytes.size(), 0);
    ASSERT_GE(zip_file_add(out, part.name.c_str(), source, ZIP_FL_ENC_UTF_8), 0) << part.name;
  }
  ASSERT_EQ(zip_close(out), 0);
}

class Hostile : public ::testing::Test {
 protected:
  void refused(const std::vector<Part>& parts, const std::string& word) {
    make_zip(desk_ / "in.zip", parts);
    refused_file(word);
  }
  void refused_file(const std::string& word) {
    expect_fault(record_.import(desk_ / "in.zip", std::nullopt), Fault::archive_unreadable, word);
    EXPECT_TRUE(kept(record_.people()).empty());
    EXPECT_EQ(test::problems_of(record_), "");
  }
  Desk desk_;
  Record record_ = opened(desk_.file());
};

TEST_F(Hostile, TheGoodOneOfTheseTestsIsTakenIn) {
  make_zip(desk_ / "in.zip", {{"manifest.json", good_manifest().dump()}, {"2026-11-02/session.json", text}});
  EXPECT_EQ(kept(record_.import(desk_ / "in.zip", std::nullopt)).sessions_new, 1);
}

TEST_F(Hostile, ManifestsThatTheRecordWouldNotWrite) {
  const auto with = [&](const char* pointer, const json& value, const std::string& word) {
    SCOPED_TRACE(pointer + value.dump());
    json manifest = good_manifest();
    manifest[json::json_pointer(pointer)] = value;
    refused({{"manifest.json", manifest.dump()}, {"2026-11-02/session.json", text}}, word);
  };
  with("/schema", "risetrace/record-export/2", "schema");
  with("/code", "../../R", "code");
  with("/code", nullptr, "code");
  with("/sessions", json::array(), "sessions");
  with("/sessions/0/date", "2026-11-31", "date");
  with("/sessions/0/date", "..", "date");
  with("/sessions/0/revisions", json::array(), "revisions");
  with("/sessions/0/revisions/0/number", 1, "number");
  with("/sessions/0/revisions/0/at", "yesterday", "at");
  with("/sessions/0/revisions/0/by", "a\nb", "by");
  with("/sessions/0/documents/0/kind", "letter", "kind");
  with("/sessions/0/documents/0/slot", "../up", "slot");
  with("/sessions/0/documents/0/revision", 1, "revision");
  with("/sessions/0/documents/0/revision", -1, "revision");
  with("/sessions/0/documents/0/current", false, "current");
  with("/sessions/0/documents/0/path", "../../session.json", "path");
  with("/sessions/0/documents/0/path", "/etc/session.json", "path");
  with("/sessions/0/documents/0/sha256", std::string(64, 'A'), "sha256");
  with("/sessions/0/documents/0/sha256", std::string(64, 'a'), "SHA-256");
  with("/sessions/0/documents/0/bytes", 16, "longer");
  with("/sessions/0/documents/0/bytes", 18, "SHA-256");
  with("/sessions/0/documents/0/bytes", 1e300, "bytes");
  with("/sessions/0/documents/0/bytes", -1, "bytes");
  with("/sessions/0/documents/0/bytes", 400000000, "256 MiB");
  with("/sessions/0/more", 1, "more");
  json twice = good_manifest();
  twice["sessions"].push_back(twice["sessions"][0]);
  refused({{"manifest.json", twice.dump()}, {"2026-11-02/session.json", text}}, "twice");
  twice = good_manifest();
  twice["sessions"][0]["documents"].push_back(twice["sessions"][0]["documents"][0]);
  refused({{"manifest.json", twice.dump()}, {"2026-11-02/session.json", text}}, "twice");
  refused({{"manifest.json", "{"}, {"2026-11-02/session.json", text}}, "JSON");
  refused({{"manifest.json", std::string(200000, '[')}, {"2026-11-02/session.json", text}}, "JSON");
  refused({{"manifest.json", "[]"}, {"2026-11-02/session.json", text}}, "object");
}

TEST_F(Hostile, PartsThatTheManifestDoesNotName) {
  const Part manifest{"manifest.json", good_manifest().dump()};
  const Part document{"2026-11-02/session.json", text};
  refused({manifest, document, {"../../evil", "x"}}, "../../evil");
  refused({manifest, document, {"/tmp/risetrace-evil", "x"}}, "evil");
  refused({manifest, document, {"2026-11-02/", ""}}, "2026-11-02/");
  refused({manifest}, "session.json is not in it");
  refused({document}, "manifest.json is not in it");
  refused({manifest, {"2026-11-02/session.json", "{\"said\": \"other\"}"}}, "SHA-256");
}

TEST_F(Hostile, ATextThatIsNotJson) {
  const std::string letter = "Dear Sir or Madam";
  json manifest = good_manifest();
  manifest["sessions"][0]["documents"][0]["sha256"] = sha256_of(letter);
  refused({{"manifest.json", manifest.dump()}, {"2026-11-02/session.json", letter}}, "not JSON");
}

TEST_F(Hostile, ABombIsNotUnpacked) {
  const std::string bomb(std::size_t{64} << 20, ' ');
  refused({{"manifest.json", bomb}}, "longer than it may be");
  json manifest = good_manifest();
  refused({{"manifest.json", manifest.dump()}, {"2026-11-02/session.json", bomb}}, "longer than it may be");
  std::vector<Part> many(20001);
  for (std::size_t i = 0; i < many.size(); ++i) many[i].name = std::to_string(i);
  refused(many, "more than 20000 parts");
}

TEST_F(Hostile, AClipThatWouldGrowIsNotUnpacked) {
  const std::string bomb(std::size_t{64} << 20, ' ');
  json manifest = good_manifest();
  manifest["sessions"][0]["clips"].push_back({{"slot", "hop/left"},
                                              {"revision", 0},
                                              {"current", true},
                                              {"path", "2026-11-02/clip/hop/left.mp4"},
                                              {"sha256", sha256_of(bomb)},
                                              {"bytes", bomb.size()},
                                              {"extension", "mp4"}});
  refused(
      {{"manifest.json", manifest.dump()}, {"2026-11-02/session.json", text}, {"2026-11-02/clip/hop/left.mp4", bomb}},
      "not to be packed");
}

TEST_F(Hostile, PartsThatShareTheirBytes) {  // each entry of the list points to the same megabyte
  const std::string block = test::random_bytes(1 << 20, 1);
  make_zip(desk_ / "in.zip", {{"a", block}, {"b", "b"}});
  std::string bytes = test::read_bytes(desk_ / "in.zip");
  const std::size_t list = bytes.find("PK\x01\x02");
  const std::size_t second = bytes.find("PK\x01\x02", list + 1);
  ASSERT_NE(second, std::string::npos);
  // All that is said of "a", said of "b" too: APPNOTE 4.3.12, CRC to sizes at 16..27, place at 42..45, method at 10.
  for (const auto& [from, count] : {std::pair<std::size_t, std::size_t>{10, 2}, {16, 12}, {42, 4}}) {
    bytes.replace(second + from, count, bytes.substr(list + from, count));
  }
  test::write_bytes(desk_ / "in.zip", bytes);
  refused_file("");
}

TEST_F(Hostile, AnythingElse) {
  for (const std::string& bytes :
       {std::string(), std::string("PK"), std::string(100000, 'x'), test::random_bytes(9999, 4)}) {
    test::write_bytes(desk_ / "in.zip", bytes);
    refused_file("ZIP");
  }
  fs::remove(desk_ / "in.zip");
  refused_file("No such file");
  fs::create_directory(desk_ / "in.zip");
  refused_file("plain file");
}

TEST_F(Hostile, AnyChangedByteIsRefusedOrChangesNothing) {
  kept(record_.save_session(test::small_visit("R-014", "2026-11-02")));
  kept(record_.export_person("R-014", desk_ / "whole.zip", {}));
  const std::string whole = test::read_bytes(desk_ / "whole.zip");
  const Desk there;
  auto other = opened(there.file());
  int refusals = 0;
  for (std::size_t at = 0; at < whole.size(); at += 7) {
    std::string changed = whole;
    changed[at] = static_cast<char>(changed[at] ^ 0x11);
    test::write_bytes(there / "in.zip", changed);
    const auto taken = other.import(there / "in.zip", std::nullopt);
    if (!taken) {
      ++refusals;
      EXPECT_EQ(static_cast<int>(taken.error().fault), static_cast<int>(Fault::archive_unreadable));
      continue;
    }
    // A field that nothing rests on, such as a time, or the words for people. What is kept must be the same.
    kept(other.export_person("R-014", there / "again.zip", {}));
    ASSERT_EQ(test::read_bytes(there / "again.zip"), whole) << "byte " << at;
    kept(other.erase("R-014"));
  }
  EXPECT_GT(refusals, static_cast<int>(whole.size() / 7 / 2));
  EXPECT_EQ(test::problems_of(other), "");
}

}  // namespace
}  // namespace risetrace::record
