#include "report/result_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>
#include <sstream>

#include "report/result_json.h"
#include "report/sample_measurement.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class ResultFolderTest : public testing::Test {
 protected:
  void SetUp() override {
    const char* name = testing::UnitTest::GetInstance()->current_test_info()->name();
    place_ = fs::temp_directory_path() / ("result-folder-" + std::to_string(::getpid()) + name);
    fs::remove_all(place_);
    fs::create_directories(place_);
  }
  void TearDown() override { fs::remove_all(place_); }

  static std::string content(const fs::path& file) {
    std::ostringstream out;
    out << std::ifstream(file).rdbuf();
    return out.str();
  }
  static Outcome write_result(const fs::path& out_dir) {
    auto folder = ResultFolder::begin(out_dir);
    if (!folder) return folder.error();
    const std::string json = result_json(test::sample_measurement(), "0.1.0");
    if (auto wrote = write_text(folder->path("result.json"), json); !wrote) return wrote;
    return folder->commit();
  }
  [[nodiscard]] std::size_t entries() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(place_), fs::directory_iterator{}));
  }

  fs::path place_;
};

TEST_F(ResultFolderTest, AppearsWholeAndOnlyAfterCommit) {
  const fs::path out = place_ / "new/parents/clip.risetrace";
  auto folder = ResultFolder::begin(out.string() + "/");
  ASSERT_TRUE(folder) << sentence(folder.error());
  ASSERT_TRUE(write_text(folder->path("trace.csv"), "abc"));
  EXPECT_FALSE(fs::exists(out));
  ASSERT_TRUE(folder->commit());
  EXPECT_EQ(content(out / "trace.csv"), "abc");
  EXPECT_EQ(std::distance(fs::directory_iterator(out.parent_path()), fs::directory_iterator{}), 1);
}

TEST_F(ResultFolderTest, LeavesNothingWithoutCommit) {
  {
    auto folder = ResultFolder::begin(place_ / "out");
    ASSERT_TRUE(folder);
    ASSERT_TRUE(write_text(folder->path("result.json"), "{}"));
    EXPECT_EQ(entries(), 1U);
  }
  EXPECT_EQ(entries(), 0U);
}

TEST_F(ResultFolderTest, ReplacesAnEarlierResultAndAnEmptyFolder) {
  fs::create_directory(place_ / "out");
  ASSERT_TRUE(write_result(place_ / "out"));
  ASSERT_TRUE(write_text(place_ / "out/overlay.mp4", "old"));
  ASSERT_TRUE(write_result(place_ / "out"));
  EXPECT_FALSE(fs::exists(place_ / "out/overlay.mp4"));
  EXPECT_TRUE(fs::exists(place_ / "out/result.json"));
  EXPECT_EQ(entries(), 1U);
}

TEST_F(ResultFolderTest, LeavesAFolderWithOtherThingsAlone) {
  ASSERT_TRUE(write_result(place_ / "out"));
  ASSERT_TRUE(write_text(place_ / "out/my-notes.txt", "mine"));
  const Outcome again = write_result(place_ / "out");
  ASSERT_FALSE(again);
  EXPECT_EQ(again.error().fault, Fault::cannot_write);
  EXPECT_THAT(again.error().why, HasSubstr("holds other things (my-notes.txt)"));
  EXPECT_EQ(content(place_ / "out/my-notes.txt"), "mine");
  EXPECT_EQ(entries(), 1U);
}

TEST_F(ResultFolderTest, SomebodyElsesResultJsonIsNotReplaced) {
  fs::create_directory(place_ / "out");
  ASSERT_TRUE(write_text(place_ / "out/result.json", "{\"schema\": \"another program\"}"));
  EXPECT_FALSE(write_result(place_ / "out"));
  EXPECT_EQ(content(place_ / "out/result.json"), "{\"schema\": \"another program\"}");
}

TEST_F(ResultFolderTest, WhatComesThereMeanwhileIsNotOverwritten) {
  auto folder = ResultFolder::begin(place_ / "out");
  ASSERT_TRUE(folder);
  fs::create_directory(place_ / "out");
  ASSERT_TRUE(write_text(place_ / "out/mine.txt", "mine"));
  EXPECT_FALSE(folder->commit());
  EXPECT_EQ(content(place_ / "out/mine.txt"), "mine");
}

TEST_F(ResultFolderTest, AFileInTheWayIsNamed) {
  ASSERT_TRUE(write_text(place_ / "out", "a file"));
  const Outcome made = write_result(place_ / "out");
  ASSERT_FALSE(made);
  EXPECT_THAT(made.error().why, HasSubstr("a file of that name is in the way"));
  const Outcome below = write_result(place_ / "out/deeper/result");
  ASSERT_FALSE(below);
  EXPECT_EQ(below.error().fault, Fault::cannot_write);
}

TEST_F(ResultFolderTest, AFullDiskIsSaidSo) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full on this system";
  const Outcome wrote = write_text("/dev/full", "text");
  ASSERT_FALSE(wrote);
  EXPECT_EQ(wrote.error().fault, Fault::cannot_write);
  EXPECT_THAT(wrote.error().why, HasSubstr("the disk is full"));
}

TEST_F(ResultFolderTest, AFolderThatMayNotBeWrittenIsSaidSo) {
  // root may write anywhere but into the kernel's own file systems.
  const Outcome made = write_result("/proc/out");
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().fault, Fault::cannot_write);
  EXPECT_THAT(made.error().why, HasSubstr("/proc/out"));
}

}  // namespace
}  // namespace risetrace::report
