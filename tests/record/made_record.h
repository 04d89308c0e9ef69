// Records made for tests: invented people, small documents, clips of random bytes.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "record/record.h"

namespace risetrace::test {

namespace fs = std::filesystem;

// A folder with a record in it; gone with the test.
class Desk {
 public:
  Desk() {
    std::string name = (fs::temp_directory_path() / "risetrace-record-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder can be made");
    path_ = name;
  }
  Desk(const Desk&) = delete;
  Desk& operator=(const Desk&) = delete;
  ~Desk() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  [[nodiscard]] fs::path operator/(const std::string& name) const { return path_ / name; }
  [[nodiscard]] fs::path file() const { return path_ / "kept" / "record.sqlite"; }
  [[nodiscard]] fs::path clips() const { return path_ / "kept" / "record.sqlite-clips"; }

 private:
  fs::path path_;
};

inline std::string read_bytes(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

inline void write_bytes(const fs::path& file, const std::string& bytes) {
  std::ofstream(file, std::ios::binary | std::ios::trunc)
      .write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

inline std::string random_bytes(std::size_t count, unsigned seed) {
  std::mt19937 engine(seed);
  std::string bytes(count, '\0');
  for (char& c : bytes) c = static_cast<char>(engine());
  return bytes;
}

inline fs::path made_clip(const Desk& desk, const std::string& name, std::size_t bytes, unsigned seed) {
  const fs::path file = desk / name;
  write_bytes(file, random_bytes(bytes, seed));
  return file;
}

inline record::Record opened(const fs::path& file, int longest_wait_ms = 10000) {
  auto record = record::Record::open(file, {.create = true, .longest_wait_ms = longest_wait_ms});
  if (!record) throw std::runtime_error(sentence(record.error()));
  return std::move(*record);
}

inline record::Visit small_visit(const std::string& code, const std::string& date, const std::string& word = "first") {
  return {code,
          date,
          {{record::Kind::session, "", R"({"said": ")" + word + R"("})"},
           {record::Kind::result, "heel-raise/left/straight", R"({"count": 21, "word": ")" + word + R"("})"},
           {record::Kind::result, "heel-raise/right/straight", R"({"count": 24, "word": ")" + word + R"("})"}},
          {}};
}

template <typename T>
T kept(Result<T> result) {
  if (!result) throw std::runtime_error(sentence(result.error()));
  return std::move(*result);
}

template <typename T>
void expect_fault(const Result<T>& result, Fault fault, const std::string& word = "") {
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(static_cast<int>(result.error().fault), static_cast<int>(fault)) << sentence(result.error());
  EXPECT_NE(result.error().why.find(word), std::string::npos) << sentence(result.error());
}

inline std::string problems_of(record::Record& record, bool mend = false) {
  std::string codes;
  for (const auto& one : kept(record.verify(mend))) codes += one.code + (one.mended ? "+ " : " ");
  return codes;
}

// Every file of the folder that holds these bytes.
inline std::vector<fs::path> files_with(const fs::path& folder, const std::string& bytes) {
  std::vector<fs::path> found;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file() && read_bytes(entry.path()).find(bytes) != std::string::npos)
      found.push_back(entry.path());
  }
  return found;
}

}  // namespace risetrace::test
