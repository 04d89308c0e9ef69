// Open visits on the disk, and names that come from outside.
#include "serve/draft_store.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>
#include <sys/stat.h>

#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>

#include "report/schema_check.h"
#include "serve/random_id.h"
#include "serve/session_fields.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;

class Folder {
 public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "risetrace-drafts-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path_); }
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

Draft sample() {
  Draft draft;
  draft.id = random_id();
  draft.session_json = new_session("R-017", "2026-03-02", "T-1");
  DraftTest& test = draft.tests["hop-both"];
  test.state = TestState::failed;
  test.failure = Failure{"not-measurable", "no hop was seen", "nothing left the ground", "film again"};
  test.upload = UploadPlan{random_id(), "a \"b\".mp4", 17, "5", true};
  test.clip_file = "clip.mov";
  test.options_json = R"({"beat_bpm":150})";
  test.corrections = 2;
  draft.screen = {ScreenState::ready, std::nullopt, "2026-03-02T10:00:00Z", 3, 4, true};
  return draft;
}

unsigned mode_of(const fs::path& file) {
  struct stat facts {};
  return ::stat(file.c_str(), &facts) == 0 ? facts.st_mode & 0777U : 0;
}

TEST(DraftStore, WhatIsSavedIsLoadedAgain) {
  const Folder folder;
  Draft draft = sample();
  {
    auto store = DraftStore::open(folder.path() / "open");
    ASSERT_TRUE(store);
    store->save(draft);
    EXPECT_EQ(mode_of(folder.path() / "open"), 0700U);
    EXPECT_EQ(mode_of(draft.folder), 0700U);
    EXPECT_EQ(mode_of(draft.folder / "desk.json"), 0600U);
  }
  EXPECT_EQ(test::misfit("desk.schema.json", desk_json(draft)), "");
  const auto store = DraftStore::open(folder.path() / "open");
  ASSERT_TRUE(store);
  const auto drafts = store->load().drafts;
  ASSERT_EQ(drafts.size(), 1U);
  EXPECT_EQ(desk_json(drafts[0]), desk_json(draft));
  EXPECT_EQ(drafts[0].tests.at("hop-both").upload->bytes, 17U);
  EXPECT_EQ(drafts[0].screen.of_revision, 3);
  store->remove(drafts[0]);
  EXPECT_TRUE(store->load().drafts.empty());
  EXPECT_FALSE(fs::exists(draft.folder));
}

TEST(DraftStore, OneServerAtATime) {
  const Folder folder;
  const auto first = DraftStore::open(folder.path() / "open");
  ASSERT_TRUE(first);
  const auto second = DraftStore::open(folder.path() / "open");
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().fault, Fault::record_busy);
}

TEST(DraftStore, OtherThingsInTheFolderAreLeftAlone) {
  const Folder folder;
  const auto store = DraftStore::open(folder.path() / "open");
  ASSERT_TRUE(store);
  const fs::path open = folder.path() / "open";
  const std::string id = random_id();
  fs::create_directory(open / id);
  for (const std::string& text : {std::string("{"), std::string("[]"), R"({"id":")" + random_id() + "\"}",
                                  R"({"id":")" + id + R"(","tests":7})", R"({"id":")" + id + R"(","revision":"a"})"}) {
    std::ofstream(open / id / "desk.json") << text;
    const auto loaded = store->load();
    EXPECT_TRUE(loaded.drafts.empty()) << text;
    EXPECT_EQ(loaded.unreadable.size(), 1U) << text;
  }
  fs::create_directory(open / "notes");
  EXPECT_TRUE(store->load().drafts.empty());
  EXPECT_TRUE(fs::exists(open / id));
}

RC_GTEST_PROP(Names, AClipsNameHereIsOneOfOurs, (const std::string& given)) {
  const std::string file = clip_file_for(given);
  RC_ASSERT(file.starts_with("clip."));
  RC_ASSERT(file.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789.") == std::string::npos);
  const std::string shown = shown_name(given);
  RC_ASSERT(shown.size() <= 120U);
  RC_ASSERT(shown.find_first_of("/\\") == std::string::npos);
  RC_ASSERT(std::none_of(shown.begin(), shown.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }));
}

RC_GTEST_PROP(Names, NoOtherTextNamesATestOrAFile, (const std::string& given)) {
  const TestSlot* slot = find_slot(given);
  const bool right = slot == nullptr || slot->name == given;  // RC_ASSERT evaluates both sides of an ||
  RC_ASSERT(right);
  RC_ASSERT(find_slot("../" + given) == nullptr);
  RC_ASSERT(find_result_file("../" + given) == nullptr);
  RC_ASSERT(find_screen_file(given + "/..") == nullptr);
}

RC_GTEST_PROP(Desk, AnyTextIsReadWithoutHarm, (const std::string& text)) {
  draft_from(text);
  draft_from("{" + text + "}");
}

TEST(Names, EveryTestHasItsFolderAndKey) {
  EXPECT_EQ(all_slots().size(), 9U);
  EXPECT_EQ(find_slot("heel-raise-left-straight")->key, "heel-raise/left/straight");
  EXPECT_EQ(find_slot_by_key("hop/both")->name, "hop-both");
  EXPECT_EQ(find_slot("heel-raise-left"), nullptr);
  EXPECT_EQ(clip_file_for("IMG 1.MOV"), "clip.mov");
  EXPECT_EQ(clip_file_for("../../etc/passwd"), "clip.bin");
  EXPECT_EQ(shown_name("C:\\films\\a\nb.mp4"), "ab.mp4");
}

std::string refused(const std::string& fields) {
  try {
    with_fields(new_session("R-017", "2026-03-02", ""), fields);
    return "";
  } catch (const Refusal& refusal) {
    return refusal.why;
  }
}

TEST(SessionFields, TakeWhatAPageMaySetAndNameTheRest) {
  EXPECT_EQ(refused(R"({"remark":"tired","tests":[{"test":"hop","side":"both","pain":{"worst":2}}]})"), "");
  EXPECT_NE(refused(R"({"earlier":["/etc/passwd"]})").find("earlier"), std::string::npos);
  EXPECT_NE(refused(R"({"remark":5})").find("remark"), std::string::npos);
  EXPECT_NE(refused(R"({"training_log":"/etc/passwd"})").find("training_log"), std::string::npos);
  EXPECT_NE(refused(R"({"person":{"code":"../x"}})").find("code"), std::string::npos);
  EXPECT_NE(refused(R"({"date":"2026-02-30"})").find("date"), std::string::npos);
  EXPECT_NE(refused(R"({"tests":[{"test":"walk","side":"left"}]})"), "");
  EXPECT_NE(refused(R"({"tests":[{"test":"hop","side":"both"},{"test":"hop","side":"both"}]})").find("hop/both"),
            std::string::npos);
}

TEST(SessionFields, AClientNamesNoFile) {
  Draft draft;
  draft.session_json = with_fields(new_session("R-017", "2026-03-02", ""), R"({"tests":[
    {"test":"hop","side":"both","clip":"/etc/passwd","result":"/etc","result_of":"/etc/passwd","keep_clip":true},
    {"test":"lunge","side":"left","by_hand":{"knee_to_wall_cm":11}}]})");
  draft.tests["hop-both"].measured_at = "2026-03-02T10:00:00Z";
  draft.tests["hop-both"].clip_file = "clip.mp4";
  const std::string text = session_for_screen(draft, {});
  EXPECT_EQ(text.find("/etc"), std::string::npos) << text;
  const auto session = nlohmann::json::parse(text);
  ASSERT_EQ(session["tests"].size(), 2U);
  EXPECT_EQ(session["tests"][1]["result"], "hop-both/result");
  EXPECT_EQ(session["tests"][1]["result_of"], "hop-both/clip.mp4");
}

TEST(SessionFields, OptionsBecomeWordsOfMeasure) {
  Draft draft;
  draft.session_json = new_session("R-017", "2026-03-02", "");
  draft.tests["heel-raise-left-bent"].options_json =
      checked_options(R"({"heel_px":[10.5,20],"end_after":3,"card":"none","beat_bpm":null})");
  const auto words = measure_arguments(draft, "heel-raise-left-bent");
  const std::vector<std::string> wanted = {"--test=heel-raise", "--side=left",   "--knee=bent",
                                           "--card=none",       "--end-after=3", "--heel=10.5,20"};
  EXPECT_EQ(words, wanted);
  for (const char* wrong :
       {R"({"out":"/tmp/x"})", R"({"heel_px":5})", R"({"card":"--out=/tmp"})", R"({"beat_bpm":"60 --out=x"})", "[]"}) {
    EXPECT_THROW(checked_options(wrong), Refusal) << wrong;
  }
}

TEST(Failures, AWorkersLineIsToldApart) {
  const Failure failure = failure_of(4, "risetrace: no hop was seen: at 3:12; nothing; film the whole set");
  EXPECT_EQ(failure.code, "not-measurable");
  EXPECT_EQ(failure.what, "no hop was seen");
  EXPECT_EQ(failure.why, "at 3:12; nothing");
  EXPECT_EQ(failure.what_to_do, "film the whole set");
  EXPECT_EQ(failure_of(139, "").code, "worker-died");
  EXPECT_NE(failure_of(139, "").why.find("11"), std::string::npos);
  EXPECT_EQ(failure_of(1, "odd").why, "odd");
}

}  // namespace
}  // namespace risetrace::serve
