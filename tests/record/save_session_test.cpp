// What is saved is there, whole and unchanged; a correction leaves the old one; nothing else replaces anything.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <sys/stat.h>

#include <map>

#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

using test::Desk;
using test::expect_fault;
using test::kept;
using test::opened;
using test::small_visit;

TEST(SaveSession, WhatWasSavedComesBackByteForByte) {
  const Desk desk;
  auto record = opened(desk.file());
  Visit visit = small_visit("R-014", "2026-11-02");
  visit.documents[0].json = "{\"said\" : \"\xc3\xa4 \\u0000 1e5\",\r\n \"n\": 0.10}\n";
  visit.clips.push_back({"hop/left", test::made_clip(desk, "IMG_1.MOV", 300001, 7)});
  const auto saved = kept(record.save_session(visit, {"kb", std::nullopt}));
  EXPECT_EQ(saved.revision, 0);
  const auto sessions = kept(record.sessions_of("R-014"));
  ASSERT_EQ(sessions.size(), 1U);
  ASSERT_EQ(sessions[0].documents.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(kept(record.text_of(sessions[0].documents[i])), visit.documents[i].json);
    EXPECT_EQ(sessions[0].documents[i].bytes, static_cast<std::int64_t>(visit.documents[i].json.size()));
    EXPECT_TRUE(sessions[0].documents[i].current);
  }
  ASSERT_EQ(sessions[0].clips.size(), 1U);
  EXPECT_EQ(sessions[0].clips[0].extension, "mov");
  EXPECT_EQ(test::read_bytes(sessions[0].clips[0].file), test::random_bytes(300001, 7));
  EXPECT_EQ(test::read_bytes(desk / "IMG_1.MOV"), test::random_bytes(300001, 7));
  EXPECT_EQ(sessions[0].revisions.at(0).by, "kb");
  EXPECT_EQ(sessions[0].revisions.at(0).why, std::nullopt);
  EXPECT_EQ(test::problems_of(record), "");
}

TEST(SaveSession, TheDigestIsThePublishedOne) {  // FIPS 180-2, appendix B.1: "abc"
  const Desk desk;
  auto record = opened(desk.file());
  test::write_bytes(desk / "abc", "abc");
  kept(record.save_session({"A", "2026-01-31", {}, {{"hop/left", desk / "abc"}}}));
  const std::string published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
  EXPECT_EQ(kept(record.sessions_of("A")).at(0).clips.at(0).sha256, published);
  EXPECT_TRUE(fs::exists(desk.clips() / published));
}

TEST(SaveSession, SavedOnceMoreNothingIsWritten) {
  const Desk desk;
  auto record = opened(desk.file());
  kept(record.save_session(small_visit("A", "2026-11-02")));
  const auto again = kept(record.save_session(small_visit("A", "2026-11-02"), {std::nullopt, "no need"}));
  EXPECT_TRUE(again.already_there);
  EXPECT_EQ(kept(record.sessions_of("A")).at(0).revisions.size(), 1U);
}

TEST(SaveSession, AnotherTextIsRefusedUnlessItIsACorrection) {
  const Desk desk;
  auto record = opened(desk.file());
  kept(record.save_session(small_visit("A", "2026-11-02", "first")));
  Visit other = small_visit("A", "2026-11-02", "first");
  other.documents[1].json = R"({"count": 20})";
  expect_fault(record.save_session(other), Fault::already_in_record, "result heel-raise/left/straight");
  EXPECT_EQ(kept(record.sessions_of("A")).at(0).revisions.size(), 1U);
  const auto saved = kept(record.save_session(other, {"kb", "a rep was counted twice"}));
  EXPECT_EQ(saved.revision, 1);
  const auto session = kept(record.sessions_of("A")).at(0);
  ASSERT_EQ(session.documents.size(), 4U);  // the corrected one twice, the others once
  EXPECT_EQ(session.revisions.at(1).why, "a rep was counted twice");
  EXPECT_EQ(session.revisions.at(1).by, "kb");
  EXPECT_FALSE(session.documents[1].current);
  EXPECT_EQ(kept(record.text_of(session.documents[1])), R"({"count": 21, "word": "first"})");
  EXPECT_TRUE(session.documents[2].current);
  EXPECT_EQ(kept(record.text_of(session.documents[2])), R"({"count": 20})");
}

TEST(SaveSession, WhatIsNewIsAddedWithoutACorrection) {
  const Desk desk;
  auto record = opened(desk.file());
  kept(record.save_session(small_visit("A", "2026-11-02")));
  EXPECT_EQ(kept(record.save_session({"A", "2026-11-02", {{Kind::log, "", "[1]"}}, {}})).revision, 1);
  const auto session = kept(record.sessions_of("A")).at(0);
  EXPECT_EQ(session.documents.size(), 4U);
  for (const auto& one : session.documents) EXPECT_TRUE(one.current);
  EXPECT_EQ(session.revisions.at(1).why, std::nullopt);
}

TEST(SaveSession, AClipThatIsReplacedStaysToo) {
  const Desk desk;
  auto record = opened(desk.file());
  kept(record.save_session({"A", "2026-11-02", {}, {{"hop/left", test::made_clip(desk, "a.mp4", 1000, 1)}}}));
  const Visit other{"A", "2026-11-02", {}, {{"hop/left", test::made_clip(desk, "b.mp4", 1000, 2)}}};
  expect_fault(record.save_session(other), Fault::already_in_record, "clip of hop/left");
  EXPECT_EQ(test::problems_of(record), "") << "the refused clip must not stay";
  kept(record.save_session(other, {std::nullopt, "the wrong leg"}));
  const auto clips = kept(record.sessions_of("A")).at(0).clips;
  ASSERT_EQ(clips.size(), 2U);
  EXPECT_EQ(test::read_bytes(clips[0].file), test::random_bytes(1000, 1));
  EXPECT_EQ(test::read_bytes(clips[1].file), test::random_bytes(1000, 2));
  EXPECT_FALSE(clips[0].current);
}

TEST(SaveSession, RefusesWhatCannotBeKept) {
  const Desk desk;
  auto record = opened(desk.file());
  const auto refused = [&](Visit visit, const std::string& word) {
    expect_fault(record.save_session(visit), Fault::option_wrong, word);
  };
  for (const char* code :
       {"", "Jo Runner", "../up", "-a", "a/b", "a\nb", "12345678901234567890123456789012345678901"}) {
    refused(small_visit(code, "2026-11-02"), "code");
  }
  for (const std::string date :
       {"", "2026-02-29", "2026-13-01", "2026-00-10", "26-11-02", "2026-11-2", "2026-11-02T"}) {
    refused(small_visit("A", date), "date");
  }
  refused({"A", "2026-11-02", {}, {}}, "nothing");
  refused({"A", "2026-11-02", {{Kind::session, "", "{\"a\": }"}}, {}}, "JSON");
  refused({"A", "2026-11-02", {{Kind::session, "", "{\"a\": \"\xff\"}"}}, {}}, "JSON");
  refused({"A", "2026-11-02", {{Kind::result, "", "{}"}}, {}}, "slot");
  refused({"A", "2026-11-02", {{Kind::result, "../a", "{}"}}, {}}, "slot");
  refused({"A", "2026-11-02", {{Kind::log, "", "1"}, {Kind::log, "", "2"}}, {}}, "twice");
  refused({"A", "2026-11-02", {}, {{"hop/left", desk / "absent.mp4"}}}, "absent.mp4");
  refused({"A", "2026-11-02", {}, {{"hop/left", desk / "kept"}}}, "plain file");
  expect_fault(record.save_session(small_visit("A", "2026-11-02"), {"a\nb", std::nullopt}), Fault::option_wrong, "who");
  expect_fault(record.save_session(small_visit("A", "2026-11-02"), {std::nullopt, ""}), Fault::option_wrong, "why");
  expect_fault(record.save_session(small_visit("A", "2026-11-02"), {std::nullopt, "wrong leg"}), Fault::not_in_record);
  EXPECT_TRUE(kept(record.people()).empty());
  kept(record.save_session(small_visit("A", "2028-02-29")));
}

TEST(SaveSession, FolderAndFilesAreTheOwnersAlone) {
  const Desk desk;
  auto record = opened(desk.file());
  kept(record.save_session({"A", "2026-11-02", {}, {{"hop/left", test::made_clip(desk, "a.mp4", 10, 1)}}}));
  const auto mode = [](const fs::path& path) { return static_cast<int>(fs::status(path).permissions()); };
  EXPECT_EQ(mode(desk.file().parent_path()), 0700);
  EXPECT_EQ(mode(desk.clips()), 0700);
  for (const auto& entry : fs::recursive_directory_iterator(desk.file().parent_path())) {
    if (!entry.is_regular_file()) continue;
    EXPECT_EQ(mode(entry.path()), 0600) << entry.path();
  }
}

TEST(SaveSession, PeopleAreListedWithTheirFirstAndLastVisit) {
  const Desk desk;
  auto record = opened(desk.file());
  for (const char* date : {"2026-11-02", "2026-05-01", "2027-01-31"}) kept(record.save_session(small_visit("B", date)));
  kept(record.save_session(small_visit("A", "2026-11-02")));
  const auto people = kept(record.people());
  ASSERT_EQ(people.size(), 2U);
  EXPECT_EQ(people[0].code, "A");
  EXPECT_EQ(people[1].sessions, 3);
  EXPECT_EQ(people[1].first_date, "2026-05-01");
  EXPECT_EQ(people[1].last_date, "2027-01-31");
  expect_fault(record.sessions_of("C"), Fault::not_in_record, "C");
}

// Law: whatever is saved in whatever order, the newest text of each slot is current, and every text ever saved is
// there.
RC_GTEST_PROP(SaveSession, NoSequenceOfSavingsLosesAText, ()) {
  const Desk desk;
  auto record = opened(desk.file());
  std::map<std::string, std::vector<std::string>> all;
  const auto one_word = rc::gen::pair(rc::gen::inRange(0, 3), rc::gen::inRange(0, 4));
  const auto words = *rc::gen::resize(12, rc::gen::container<std::vector<std::pair<int, int>>>(one_word));
  for (const auto& [slot_number, word] : words) {
    const std::string slot = "hop/" + std::to_string(slot_number);
    const std::string text = "[" + std::to_string(word) + "]";
    auto& texts = all[slot];
    const Visit visit{"A", "2026-11-02", {{Kind::result, slot, text}}, {}};
    const bool differs = !texts.empty() && texts.back() != text;
    RC_ASSERT(record.save_session(visit).ok() != differs);
    if (differs) RC_ASSERT(record.save_session(visit, {std::nullopt, "so"}).ok());
    if (texts.empty() || differs) texts.push_back(text);
  }
  std::map<std::string, std::vector<std::string>> found;
  if (!all.empty()) {
    const auto sessions = kept(record.sessions_of("A"));
    for (const auto& one : sessions.at(0).documents) {
      found[one.slot].push_back(kept(record.text_of(one)));
      RC_ASSERT(one.current == (found[one.slot].size() == all[one.slot].size()));
    }
  }
  RC_ASSERT(found == all);
}

}  // namespace
}  // namespace risetrace::record
