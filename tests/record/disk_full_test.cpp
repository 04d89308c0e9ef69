// No room left in the middle of a saving: said so, nothing of it kept, nothing of what was there lost.
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <csignal>
#include <functional>

#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;
using test::Desk;
using test::kept;
using test::opened;

Visit long_visit(const std::string& date, std::size_t bytes) {
  return {"A", date, {{Kind::session, "", "[\"" + std::string(bytes, 'x') + "\"]"}}, {}};
}

// In a process of its own, which may write no file longer than `bytes`. Its exit status.
int run_limited(rlim_t bytes, const std::function<int()>& work) {
  const pid_t child = ::fork();
  if (child == 0) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{bytes, bytes};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    ::_exit(work());
  }
  int state = 0;
  ::waitpid(child, &state, 0);
  return WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state);
}

// 0, or the exit status of the fault.
template <typename T>
int status_of(const Result<T>& result) {
  return result ? 0 : exit_status(result.error().fault);
}

void expect_only_the_first(const fs::path& file) {
  auto record = opened(file);
  EXPECT_EQ(test::problems_of(record), "");
  const auto sessions = kept(record.sessions_of("A"));
  ASSERT_EQ(sessions.size(), 1U);
  EXPECT_EQ(kept(record.text_of(sessions[0].documents.at(0))), long_visit("2026-11-01", 1000).documents[0].json);
  kept(record.save_session(long_visit("2026-11-02", 300000)));
}

TEST(DiskFull, ADocumentThatFindsNoRoom) {
  const Desk desk;
  kept(opened(desk.file()).save_session(long_visit("2026-11-01", 1000)));
  const int status = run_limited(200000, [&] {
    auto record = Record::open(desk.file());
    return record ? status_of(record->save_session(long_visit("2026-11-02", 300000))) : 99;
  });
  EXPECT_EQ(status, 5);
  expect_only_the_first(desk.file());
}

TEST(DiskFull, AClipThatFindsNoRoom) {
  const Desk desk;
  kept(opened(desk.file()).save_session(long_visit("2026-11-01", 1000)));
  const Visit with_clip{"A", "2026-11-02", {}, {{"hop/left", test::made_clip(desk, "c.mp4", 400000, 1)}}};
  const int status = run_limited(200000, [&] {
    auto record = Record::open(desk.file());
    return record ? status_of(record->save_session(with_clip)) : 99;
  });
  EXPECT_EQ(status, 5);
  expect_only_the_first(desk.file());
}

TEST(DiskFull, AnExportAndAnImportThatFindNoRoom) {
  const Desk desk;
  const fs::path clip = test::made_clip(desk, "c.mp4", 400000, 1);
  kept(opened(desk.file()).save_session({"A", "2026-11-02", {}, {{"hop/left", clip}}}));
  const Exporting exporting;
  const auto export_status = [&] { return status_of(opened(desk.file()).export_person("A", desk / "out", exporting)); };
  EXPECT_EQ(run_limited(200000, export_status), 5);
  EXPECT_FALSE(fs::exists(desk / "out"));
  ASSERT_EQ(export_status(), 0);
  const Desk there;
  const std::optional<std::string> unsealed;
  opened(there.file());
  EXPECT_EQ(run_limited(200000, [&] { return status_of(opened(there.file()).import(desk / "out", unsealed)); }), 5);
  auto record = opened(there.file());
  EXPECT_TRUE(kept(record.people()).empty());
  EXPECT_EQ(test::problems_of(record), "");
  for (const auto& entry : fs::directory_iterator(desk / "")) {
    EXPECT_EQ(entry.path().string().find("partial"), std::string::npos) << entry.path();
  }
}

// Gone with the object, so that a failed test leaves no disk behind.
class Mounted {
 public:
  explicit Mounted(fs::path at) : at_(std::move(at)), good_(::mount("none", at_.c_str(), "tmpfs", 0, "size=2m") == 0) {}
  Mounted(const Mounted&) = delete;
  Mounted& operator=(const Mounted&) = delete;
  ~Mounted() {
    if (good_) ::umount(at_.c_str());
  }
  [[nodiscard]] bool good() const { return good_; }

 private:
  fs::path at_;
  bool good_;
};

TEST(DiskFull, ARealDiskOfTwoMegabytes) {
  const Desk desk;
  const fs::path disk = desk / "disk";
  fs::create_directory(disk);
  const Mounted mounted(disk);
  if (!mounted.good()) GTEST_SKIP() << "a disk can be mounted by root only";
  {
    auto record = opened(disk / "record.sqlite");
    kept(record.save_session(long_visit("2026-11-01", 1000)));
    int saved = 1;
    Result<Saved> last = Saved{};
    for (; saved < 28 && last; saved += last ? 1 : 0) {
      last = record.save_session(long_visit("2026-11-" + std::to_string(saved + 9).substr(0, 2), 150000));
    }
    ASSERT_FALSE(last.ok()) << "the disk was never full";
    EXPECT_EQ(exit_status(last.error().fault), 5) << sentence(last.error());
    EXPECT_NE(sentence(last.error()).find("full"), std::string::npos) << sentence(last.error());
    EXPECT_EQ(kept(record.sessions_of("A")).size(), static_cast<std::size_t>(saved));
    EXPECT_GT(saved, 3);
    EXPECT_EQ(test::problems_of(record), "");
  }
  auto record = opened(disk / "record.sqlite");
  EXPECT_EQ(test::problems_of(record), "") << "opened on a full disk";
}

}  // namespace
}  // namespace risetrace::record
