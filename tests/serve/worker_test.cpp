// Processes apart, with a shell in the program's place.
#include "serve/worker.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <chrono>
#include <csignal>
#include <fstream>
#include <thread>

#include "serve/desk.h"
#include "serve/live.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;

WorkerOptions shell(const std::string& script) {
  WorkerOptions options;
  options.program = "/bin/sh";
  options.arguments = {"-c", script};
  options.folder = fs::temp_directory_path();
  return options;
}

TEST(Worker, ItsLinesAndStatusAreTold) {
  Worker worker;
  WorkerOptions options = shell("echo out; echo one >&2; printf 'risetrace: last' >&2; exit 4");
  std::string out;
  std::string error;
  options.on_out_line = [&](const std::string& line) { out += line + "|"; };
  options.on_error_line = [&](const std::string& line) { error += line + "|"; };
  ASSERT_TRUE(worker.start(options));
  const WorkerEnd end = worker.run();
  EXPECT_EQ(end.status, 4);
  EXPECT_EQ(end.last_line, "risetrace: last");
  EXPECT_EQ(out, "out|");
  EXPECT_EQ(error, "one|risetrace: last|");
}

TEST(Worker, IsHeldApart) {
  Worker worker;
  WorkerOptions options = shell("nice; ulimit -c; ls /proc/self/fd | wc -l; cat; pwd");
  std::vector<std::string> out;
  options.on_out_line = [&](const std::string& line) { out.push_back(line); };
  ASSERT_TRUE(worker.start(options));
  EXPECT_EQ(worker.run().status, 0);
  ASSERT_EQ(out.size(), 4U);
  EXPECT_GE(std::stoi(out[0]), 10);
  EXPECT_EQ(out[1], "0") << "no core of somebody's film on the disk";
  EXPECT_LE(std::stoi(out[2]), 4) << "none of the server's files or connections: 0, 1, 2 and the listing's own";
  EXPECT_EQ(fs::path(out[3]), fs::canonical(fs::temp_directory_path()));
}

TEST(Worker, AMemoryHogAndALongFileEndThemselves) {
  WorkerOptions options = shell("head -c 3000000 /dev/zero > \"$0\" || exit 9");
  const fs::path file = fs::temp_directory_path() / ("risetrace-worker-" + std::to_string(::getpid()));
  options.arguments.push_back(file.string());
  options.most_file_bytes = 1 << 20;
  Worker worker;
  ASSERT_TRUE(worker.start(options));
  EXPECT_NE(worker.run().status, 0);
  EXPECT_LE(fs::file_size(file), std::uintmax_t{1} << 20U);
  fs::remove(file);
}

TEST(Worker, IsEndedThoughItWillNot) {
  const auto began = std::chrono::steady_clock::now();
  Worker worker;
  WorkerOptions options = shell("trap '' TERM; echo ready; while :; do sleep 0.1; done");
  options.on_out_line = [&](const std::string&) { worker.end_it(); };
  ASSERT_TRUE(worker.start(options));
  EXPECT_EQ(worker.run().status, 128 + SIGKILL);
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(12));
}

TEST(Worker, OneThatHangsIsEndedAndSaidToHaveHung) {
  for (const bool talks : {false, true}) {
    Worker worker;
    WorkerOptions options = shell(talks ? "while :; do echo '{}' >&2; sleep 0.1; done" : "exec sleep 60");
    options.most_silence_s = 0.5;
    options.most_s = talks ? 1 : 60;
    ASSERT_TRUE(worker.start(options));
    const auto began = std::chrono::steady_clock::now();
    EXPECT_TRUE(worker.run().hung);
    const auto took = std::chrono::steady_clock::now() - began;
    EXPECT_LT(took, std::chrono::seconds(4));
    EXPECT_GT(took, talks ? std::chrono::milliseconds(900) : std::chrono::milliseconds(400));
  }
}

TEST(Worker, AGrandchildThatKeepsItsPipesHoldsNothingUp) {
  Worker worker;
  const auto began = std::chrono::steady_clock::now();
  ASSERT_TRUE(worker.start(shell("setsid sleep 5 & echo last >&2; exit 4")));
  const WorkerEnd end = worker.run();
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(4));
  EXPECT_EQ(end.status, 4);
  EXPECT_EQ(end.last_line, "last");
}

TEST(Worker, AProgramThatIsNotThere) {
  Worker worker;
  WorkerOptions options = shell("");
  options.program = "/nonexistent/risetrace";
  ASSERT_TRUE(worker.start(options));
  EXPECT_EQ(worker.run().status, 127);
}

// A program that says what it is fed and how.
class LiveTest : public ::testing::Test {
 protected:
  LiveTest() {
    std::string name = (fs::temp_directory_path() / "risetrace-live-XXXXXX").string();
    folder_ = ::mkdtemp(name.data());
    std::ofstream(folder_ / "program")
        << "#!/bin/sh\n"
           "echo '{\"event\":\"ready\"}'\necho not-json\n"
           "n=$(wc -c)\necho \"{\\\"event\\\":\\\"done\\\",\\\"bytes\\\":$n,\\\"words\\\":\\\"$*\\\"}\"\n";
    fs::permissions(folder_ / "program", fs::perms::owner_all);
    auto lasting = DraftStore::open(folder_ / "open");
    auto quick = DraftStore::open(folder_ / "quick");
    desk_ = std::make_unique<Desk>(*std::move(lasting), *std::move(quick), events_);
    id_ = desk_->add(Draft()).id;
    lives_ = std::make_unique<Lives>(*desk_, events_, folder_ / "program");
  }
  ~LiveTest() override {
    lives_.reset();
    desk_.reset();
    fs::remove_all(folder_);
  }
  fs::path folder_;
  Events events_;
  std::unique_ptr<Desk> desk_;
  std::unique_ptr<Lives> lives_;
  std::string id_;
  std::uint64_t wanted_ = 0;
};

TEST_F(LiveTest, PiecesGoToTheFileAndTheWorkerAndItsLinesOut) {
  const auto listener = events_.listen();
  const std::string live =
      lives_->begin(id_, "heel-raise-left-straight", "video/x-matroska;codecs=avc1", {"--side=left"});
  EXPECT_THROW(lives_->begin(id_, "heel-raise-left-straight", "video/webm", {}), Refusal) << "it is being recorded";
  EXPECT_TRUE(lives_->push(live, 0, "abc", wanted_));
  EXPECT_THROW(lives_->push(live, 2, "ghi", wanted_), Refusal);
  EXPECT_EQ(wanted_, 1U);
  EXPECT_TRUE(lives_->push(live, 1, "def", wanted_));
  const LiveEnd end = lives_->end(live);
  EXPECT_EQ(end.name, "recording.mkv");
  EXPECT_EQ(end.slot, "heel-raise-left-straight");
  std::ifstream recorded(end.recording);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(recorded), {}), "abcdef");
  std::string told;
  while (const auto event = events_.next(*listener, 0.2)) told += *event + "\n";
  EXPECT_NE(told.find("ready"), std::string::npos) << told;
  EXPECT_NE(told.find(R"("bytes":6)"), std::string::npos) << told;
  EXPECT_NE(told.find("live - --events=lines --side=left"), std::string::npos) << told;
  EXPECT_EQ(told.find("not-json"), std::string::npos);
  EXPECT_THROW(lives_->push(live, 2, "x", wanted_), Refusal) << "it has ended";
}

TEST_F(LiveTest, ARecordingThatIsGivenUpIsGone) {
  const std::string live = lives_->begin(id_, "hop-both", "video/webm", {});
  lives_->push(live, 0, "abc", wanted_);
  lives_->abandon_of(id_);
  EXPECT_TRUE(fs::is_empty(folder_ / "open" / id_ / "hop-both"));
  EXPECT_THROW(lives_->end(live), Refusal);
  EXPECT_THROW(lives_->begin(id_, "hop-both", "text/html", {}), Refusal);
}

TEST_F(LiveTest, AWorkerThatFailsDoesNotEndTheRecording) {
  std::ofstream(folder_ / "program", std::ios::trunc)
      << "#!/bin/sh\necho 'risetrace: no hop was seen: none; film again' >&2\nexit 4\n";
  const auto listener = events_.listen();
  const std::string live = lives_->begin(id_, "hop-both", "video/webm", {});
  std::string told;
  while (const auto event = events_.next(*listener, 2)) told += *event + "\n";
  EXPECT_NE(told.find(R"("code":"not-measurable")"), std::string::npos) << told;
  bool measuring = true;
  for (std::uint64_t n = 0; n < 3; ++n) measuring = lives_->push(live, n, std::string(100000, 'x'), wanted_);
  EXPECT_FALSE(measuring);
  EXPECT_EQ(fs::file_size(lives_->end(live).recording), 300000U);
}

}  // namespace
}  // namespace risetrace::serve
