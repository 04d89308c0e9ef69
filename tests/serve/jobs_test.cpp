// Jobs on the visits of a desk, with a script in the program's place: what is said, kept and undone when things go
// wrong.
#include "serve/jobs.h"

#include <gtest/gtest.h>

#include <chrono>
#include <fstream>
#include <thread>

#include "serve/draft_store.h"
#include "serve/live.h"
#include "serve/session_fields.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;

const std::string slot = "hop-both";

std::string read(const fs::path& file) {
  std::ifstream in(file);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string refused(const std::function<void()>& what) {
  try {
    what();
    return "";
  } catch (const Refusal& refusal) {
    return refusal.code;
  }
}

class JobsTest : public ::testing::Test {
 protected:
  JobsTest() {
    std::string name = (fs::temp_directory_path() / "risetrace-jobs-XXXXXX").string();
    folder_ = ::mkdtemp(name.data());
    script("mkdir -p result; echo '{}' > result/result.json");
    open();
    Draft draft;
    draft.session_json = new_session("R-017", "2026-03-02", "");
    id_ = desk_->add(draft).id;
    fs::create_directory(slot_folder());
    std::ofstream(slot_folder() / "clip.mp4") << "the clip";
    desk_->change_test(id_, slot, [](DraftTest& test) { test.clip_file = "clip.mp4"; });
  }
  JobsTest(const JobsTest&) = delete;
  JobsTest& operator=(const JobsTest&) = delete;
  ~JobsTest() override {
    jobs_.reset();
    desk_.reset();
    fs::remove_all(folder_);
  }
  void script(const std::string& text) {
    std::ofstream(folder_ / "program.new") << "#!/bin/sh\n" << text << "\n";
    fs::permissions(folder_ / "program.new", fs::perms::owner_all);
    fs::rename(folder_ / "program.new", folder_ / "program");
  }
  // As a server that begins.
  void open() {
    jobs_.reset();
    desk_.reset();
    auto lasting = DraftStore::open(folder_ / "open");
    auto quick = DraftStore::open(folder_ / "quick");
    desk_ = std::make_unique<Desk>(*std::move(lasting), *std::move(quick), events_);
    jobs_ = std::make_unique<Jobs>(*desk_, JobPlaces{folder_ / "program", folder_ / "record.sqlite", 1, {}});
  }
  fs::path visit_folder() const { return folder_ / "open" / id_; }
  fs::path slot_folder() const { return visit_folder() / slot; }
  DraftTest test() const { return desk_->draft(id_).tests.at(slot); }
  DraftTest wait_for(TestState state) {
    for (int i = 0; i < 500 && test().state != state; ++i) std::this_thread::sleep_for(std::chrono::milliseconds(10));
    EXPECT_STREQ(key_of(test().state), key_of(state));
    return test();
  }
  // Nothing of the visit can be written while it is true: a folder is in the way, for root too.
  void fill_disk(bool full) {
    full ? fs::create_directory(visit_folder() / "desk.json.new") : fs::remove(visit_folder() / "desk.json.new");
  }
  // An upload that is whole.
  std::string arrived(const std::string& bytes) {
    const UploadPlan plan{"0123456789abcdef0123456789abcdef", "b.mov", bytes.size(), "", false};
    desk_->change_test(id_, slot, [&](DraftTest& one) { one.upload = plan; });
    std::ofstream(part_file(slot_folder(), plan.token)) << bytes;
    return plan.token;
  }

  fs::path folder_;
  Events events_;
  std::unique_ptr<Desk> desk_;
  std::unique_ptr<Jobs> jobs_;
  std::string id_;
};

TEST_F(JobsTest, OddProgressLinesHarmNobody) {
  script(
      "printf '{\"share\":1,\"stage\":5}\\n{\"share\":0.5,\"stage\":\"\\377\"}\\n{\"share\":1,\"a\":' >&2\n"
      "head -c 60000 /dev/zero | tr '\\0' '[' >&2; head -c 60000 /dev/zero | tr '\\0' ']' >&2; echo '}' >&2\n"
      "mkdir result; echo '{}' > result/result.json");
  jobs_->measure(id_, slot);
  wait_for(TestState::measured);
}

TEST_F(JobsTest, WithoutAResultItIsNotMeasured) {
  script("exit 0");
  jobs_->measure(id_, slot);
  EXPECT_EQ(wait_for(TestState::failed).failure->code, "worker-died");
}

TEST_F(JobsTest, WhatIsRefusedWhileItIsMeasuredChangesNothing) {
  script("sleep 20");
  jobs_->measure(id_, slot);
  wait_for(TestState::measuring);
  bool changed = false;
  const auto change = [&](DraftTest& one) {
    changed = true;
    one.corrections = 7;
  };
  EXPECT_EQ(refused([&] { jobs_->measure(id_, slot, change); }), "measuring-already");
  EXPECT_FALSE(changed);
  EXPECT_EQ(test().corrections, 0);
  EXPECT_EQ(refused([&] { jobs_->preview(id_, slot, {"recount"}); }), "measuring-already");
  EXPECT_TRUE(jobs_->cancel(id_, slot));
  wait_for(TestState::cancelled);
}

TEST_F(JobsTest, AJobThatEndsOnAFullDiskEndsAllTheSame) {
  script("while [ ! -e ../go ]; do sleep 0.02; done; mkdir result; echo '{}' > result/result.json");
  jobs_->measure(id_, slot);
  wait_for(TestState::measuring);
  fill_disk(true);
  std::ofstream(visit_folder() / "go") << "";
  wait_for(TestState::measured);
  EXPECT_EQ(read(visit_folder() / "desk.json").find("\"measured\""), std::string::npos);
  fill_disk(false);
  desk_->save_unsaved();
  EXPECT_NE(read(visit_folder() / "desk.json").find("\"measured\""), std::string::npos);
}

TEST_F(JobsTest, AServerBeginsOnAFullDisk) {
  desk_->change_test(id_, slot, [](DraftTest& one) { one.state = TestState::waiting; });
  desk_->change(id_, [](Draft& draft) { draft.screen.state = ScreenState::running; });
  open();
  fill_disk(true);
  jobs_->take_up();
  wait_for(TestState::measured);
  EXPECT_EQ(desk_->draft(id_).screen.state, ScreenState::none);
}

TEST_F(JobsTest, AClipThatEndsTheServerTwiceIsNotTakenUpAThirdTime) {
  desk_->change_test(id_, slot, [](DraftTest& one) {
    one.state = TestState::measuring;
    one.broken_off = 1;
  });
  open();
  jobs_->take_up();
  EXPECT_EQ(wait_for(TestState::failed).failure->code, "broke-off");
  jobs_->measure(id_, slot);
  wait_for(TestState::measured);
}

TEST_F(JobsTest, CancelWorksWhereNoJobIsLeft) {
  desk_->change_test(id_, slot, [](DraftTest& one) { one.state = TestState::measuring; });
  EXPECT_TRUE(jobs_->cancel(id_, slot));
  EXPECT_EQ(test().state, TestState::cancelled);
}

TEST_F(JobsTest, AClipTakesThePlaceOfTheFirstOnlyOnceThatIsWritten) {
  jobs_->measure(id_, slot);
  wait_for(TestState::measured);
  std::ofstream(slot_folder() / corrections_file) << "{}";
  const std::string token = arrived("another clip");
  EXPECT_EQ(refused([&] { jobs_->take_clip(id_, slot, std::string(32, 'f')); }), "no-such-upload");
  fill_disk(true);
  EXPECT_NE(refused([&] { jobs_->take_clip(id_, slot, token); }), "");
  EXPECT_EQ(read(slot_folder() / "clip.mp4"), "the clip");
  EXPECT_TRUE(fs::exists(slot_folder() / "result/result.json"));
  EXPECT_TRUE(fs::exists(slot_folder() / corrections_file));
  EXPECT_EQ(test().state, TestState::measured);
  fill_disk(false);
  script("while [ ! -e ../go ]; do sleep 0.02; done; mkdir result; echo '{}' > result/result.json");
  jobs_->take_clip(id_, slot, token);
  EXPECT_EQ(read(slot_folder() / "clip.mov"), "another clip");
  for (const char* old : {"clip.mp4", "result", corrections_file}) EXPECT_FALSE(fs::exists(slot_folder() / old)) << old;
  std::ofstream(visit_folder() / "go") << "";
  EXPECT_EQ(wait_for(TestState::measured).clip_name, "b.mov");
}

TEST_F(JobsTest, AnUploadThatWasWholeWhenTheServerEndedIsMeasured) {
  arrived("another clip");
  for (const bool marked : {false, true}) {
    if (marked) {  // it ended between desk.json and the files
      const std::string token = arrived("a third clip");
      desk_->change_test(id_, slot, [&](DraftTest& one) { mark_arrived(one, token); });
    }
    open();
    jobs_->take_up();
    EXPECT_FALSE(wait_for(TestState::measured).upload);
    EXPECT_EQ(read(slot_folder() / "clip.mov"), marked ? "a third clip" : "another clip");
  }
}

TEST_F(JobsTest, PreviewsThatCannotBeginTakeNobodysPlace) {
  for (int i = 0; i < 3; ++i) {
    EXPECT_EQ(refused([&] { jobs_->preview("0123456789abcdef0123456789abcdef", slot, {"recount"}); }), "no-such-visit");
  }
  script("echo counted");
  EXPECT_EQ(jobs_->preview(id_, slot, {"recount"}), "counted\n");
}

TEST_F(JobsTest, APreviewIsEndedWithItsTest) {
  script("[ $1 = recount ] && sleep 20; echo counted");
  EXPECT_EQ(jobs_->preview(id_, slot, {"count"}), "counted\n");
  std::thread asks([&] { EXPECT_NE(refused([&] { jobs_->preview(id_, slot, {"recount"}); }), ""); });
  std::this_thread::sleep_for(std::chrono::milliseconds(200));
  const auto began = std::chrono::steady_clock::now();
  jobs_->drop_test(id_, slot);
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(8));
  asks.join();
}

TEST_F(JobsTest, PapersAreStaleOnceATestIsMeasuredAnewAndNotMadeMeanwhile) {
  jobs_->measure(id_, slot);
  wait_for(TestState::measured);
  jobs_->screen(id_, {"en", true, ""});
  for (int i = 0; i < 500 && desk_->draft(id_).screen.state == ScreenState::running; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  ASSERT_EQ(desk_->draft(id_).screen.state, ScreenState::ready);
  EXPECT_FALSE(desk_->draft(id_).has_stale_papers());
  jobs_->measure(id_, slot);
  wait_for(TestState::measured);
  EXPECT_TRUE(desk_->draft(id_).has_stale_papers());
  script("sleep 20");
  jobs_->measure(id_, slot);
  EXPECT_EQ(refused([&] { jobs_->screen(id_, {}); }), "still-measuring");
  jobs_->cancel(id_, slot);
  wait_for(TestState::cancelled);
  EXPECT_EQ(refused([&] { jobs_->screen(id_, {}); }), "last-measuring-failed");
}

TEST_F(JobsTest, WhileAPersonIsErasedNoVisitOfTheirsBegins) {
  Draft draft;
  draft.session_json = new_session("R-666", "2026-03-02", "");
  desk_->bar("R-666", true);
  EXPECT_EQ(refused([&] { desk_->add(draft); }), "being-erased");
  EXPECT_EQ(refused([&] { desk_->replace_session(id_, 1, R"({"person":{"code":"R-666"}})"); }), "being-erased");
  desk_->bar("R-666", false);
  desk_->add(draft);
}

TEST_F(JobsTest, WhatAKilledServerLeftIsSwept) {
  const fs::path open_folder = folder_ / "open";
  const std::string half = std::string(32, 'a');
  for (const std::string& left : {"gone-" + half, "export-" + half, half_made + half, id_ + "/lunge-left"}) {
    fs::create_directory(open_folder / left);
    std::ofstream(open_folder / left / "clip.mp4") << "somebody";
  }
  for (const char* left : {"recount-1.json", "upload-1.part", "corrections.json.new", next_corrections_file}) {
    std::ofstream(slot_folder() / left) << "somebody";
  }
  open();
  std::set<std::string> names;
  for (const auto& entry : fs::recursive_directory_iterator(open_folder)) names.insert(entry.path().filename());
  EXPECT_EQ(names, (std::set<std::string>{"lock", id_, "desk.json", slot, "clip.mp4"}));
}

TEST_F(JobsTest, ARecordingWhosePageIsGoneIsNotLost) {
  script("cat > /dev/null");
  std::uint64_t wanted = 0;
  {
    Lives lives(*desk_, events_, folder_ / "program");
    const std::string live = lives.begin(id_, slot, "video/webm", {});
    lives.push(live, 0, "recorded", wanted);
    EXPECT_TRUE(lives.forgotten().empty());
    EXPECT_EQ(lives.forgotten(0), std::vector<std::string>{live});
    EXPECT_EQ(refused([&] { desk_->claims().claim(id_, slot, Place::arrival, Use::upload); }), "recording-already");
  }  // and the server ends
  open();
  const auto left = left_recordings(desk_->draft(id_), desk_->claims());
  ASSERT_EQ(left.size(), 1U);
  EXPECT_EQ(left[0].name, "recording.webm");
  EXPECT_EQ(read(left[0].recording), "recorded");
}

}  // namespace
}  // namespace risetrace::serve
