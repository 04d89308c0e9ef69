// Where the result goes: places that cannot be written, a full disk, and Ctrl-C leave nothing half-written.
#include <gtest/gtest.h>
#include <sys/mount.h>

#include <cerrno>
#include <cstring>

#include "place.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

namespace fs = std::filesystem;

std::string small_clip() { return rendered(small_scene()); }

// A disk of a given size in a folder; gone with it.
class SmallDisk {
 public:
  SmallDisk(std::string folder, const std::string& size) : folder_(std::move(folder)) {
    fs::create_directory(folder_);
    if (::mount("tmpfs", folder_.c_str(), "tmpfs", 0, ("size=" + size).c_str()) != 0) why_ = std::strerror(errno);
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;
  ~SmallDisk() {
    if (why_.empty()) ::umount2(folder_.c_str(), MNT_DETACH);
  }
  [[nodiscard]] const std::string& why_not() const { return why_; }

 private:
  std::string folder_;
  std::string why_;
};

void expect_full_disk_is_told(const std::string& size, const Words& more) {
  const Place place;
  const SmallDisk disk(place / "disk", size);
  if (!disk.why_not().empty()) GTEST_SKIP() << "no small disk can be mounted here: " << disk.why_not();
  Words arguments = {"measure", small_clip(), "--out", place / "disk/out"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  expect_refused(risetrace_run(arguments), 5, {"the result cannot be written", "the disk is full", "--out"});
  EXPECT_TRUE(fs::is_empty(place.path() / "disk")) << "something was left behind";
}

}  // namespace

// Permissions do not bind root; that a file is no folder does.
TEST(Writing, BelowARegularFile) {
  const Place place;
  write_file(place / "file", "mine");
  expect_refused(risetrace_run({"measure", small_clip(), "--out", place / "file/out"}), 5,
                 {"the result cannot be written", "file"});
  EXPECT_EQ(place.holds(), Words{"file"});
  EXPECT_EQ(read_file(place / "file"), "mine");
}

TEST(Writing, OntoARegularFile) {
  const Place place;
  write_file(place / "file", "mine");
  expect_refused(risetrace_run({"measure", small_clip(), "--out", place / "file"}), 5, {"file"});
  EXPECT_EQ(read_file(place / "file"), "mine");
}

TEST(Writing, AFolderThatHoldsOtherThings) {
  const Place place;
  fs::create_directory(place / "photos");
  write_file(place / "photos/grandma.jpg", "dear");
  expect_refused(risetrace_run({"measure", small_clip(), "--out", place / "photos"}), 5,
                 {"the folder holds other things", "grandma.jpg"});
  EXPECT_EQ(place.holds(), Words{"photos"});
  EXPECT_EQ(read_file(place / "photos/grandma.jpg"), "dear");
}

TEST(Writing, AnEmptyName) { expect_refused(risetrace_run({"measure", small_clip(), "--out="}), 2, {"--out"}); }

TEST(Writing, NewFoldersAboveTheResultGoWithIt) {
  const Place place;
  expect_refused(risetrace_run({"measure", rendered(small_scene({{"cards", nlohmann::json::array()}})), "--out",
                                place / "new/deep/out"}),
                 4);
  EXPECT_EQ(place.holds(), Words{}) << "folders made for a result that never came were left";
}

TEST(Writing, FullDiskAtTheTrace) { expect_full_disk_is_told("12k", {}); }
TEST(Writing, FullDiskAtTheReport) { expect_full_disk_is_told("44k", {"--report"}); }
TEST(Writing, FullDiskAtTheOverlay) { expect_full_disk_is_told("64k", {"--overlay"}); }

TEST(Writing, FullDiskAtTheCard) {
  const Place place;
  const SmallDisk disk(place / "disk", "4k");
  if (!disk.why_not().empty()) GTEST_SKIP() << "no small disk can be mounted here: " << disk.why_not();
  expect_refused(risetrace_run({"print", "card", "--out", place / "disk/card.pdf"}), 5, {"card.pdf"});
  EXPECT_TRUE(fs::is_empty(place.path() / "disk")) << "something was left behind";
}

TEST(Writing, FullStandardOutput) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full here";
  const Place place;
  const Ran ran = run({"sh", "-c", "exec \"$0\" measure \"$1\" --json --out \"$2\" > /dev/full", RISETRACE_PROGRAM,
                       small_clip(), place / "out"});
  expect_refused(ran, 5, {"standard output"});
}

TEST(Writing, CtrlCInTheMiddle) {
  const Place place;
  RunOptions options;
  options.interrupt_after_s = 0.5;
  const std::string clip = (source_folder() / "sample-clips/left-straight.mp4").string();
  expect_refused(risetrace_run({"measure", clip, "--out", place / "out"}, options), 130, {"stopped"});
  EXPECT_EQ(place.holds(), Words{}) << "something was left behind";
}

TEST(Writing, TheCardOnLetterPaper) {
  const Place place;
  const Ran ran = risetrace_run({"print", "card", "--paper", "letter", "--out", place / "card.pdf"});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_EQ(place.holds(), Words{"card.pdf"});
  EXPECT_EQ(read_file(place / "card.pdf").substr(0, 5), "%PDF-");
  RISETRACE_NEEDS_TOOL("pdfinfo");
  EXPECT_NE(run({"pdfinfo", place / "card.pdf"}).out.find("612 x 792 pts (letter)"), std::string::npos);
}

TEST(Writing, TheCardBelowARegularFile) {
  const Place place;
  write_file(place / "file", "mine");
  expect_refused(risetrace_run({"print", "card", "--out", place / "file/card.pdf"}), 5, {"card.pdf"});
  EXPECT_EQ(place.holds(), Words{"file"});
}

}  // namespace risetrace::test
