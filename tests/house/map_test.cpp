// The map of src/README.md held against every #include: a room leans only where the table says, a library is used only
// in its rooms.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "place.h"

namespace risetrace {
namespace {

namespace fs = std::filesystem;

std::set<std::string> words(const std::string& text) {
  std::istringstream in(text);
  return {std::istream_iterator<std::string>(in), {}};
}

// The cells of a Markdown table's row, blanks trimmed; empty for other lines.
std::vector<std::string> cells(const std::string& line) {
  std::vector<std::string> out;
  if (line.empty() || line.front() != '|') return out;
  std::istringstream in(line.substr(1));
  for (std::string cell; std::getline(in, cell, '|');) {
    const auto from = cell.find_first_not_of(' ');
    const auto to = cell.find_last_not_of(' ');
    out.push_back(from == std::string::npos ? "" : cell.substr(from, to - from + 1));
  }
  return out;
}

struct Map {
  std::map<std::string, std::set<std::string>> leans;      // room -> rooms
  std::map<std::string, std::set<std::string>> libraries;  // first part of the header's path -> rooms
};

Map read_map() {
  Map map;
  std::ifstream in(test::source_folder() / "src/README.md");
  std::string head;
  for (std::string line; std::getline(in, line);) {
    const auto row = cells(line);
    if (row.size() < 3) continue;
    if (row[0] == "room" || row[0] == "library") head = row[0];
    if (row[0] == "room" || row[0] == "library" || row[0].starts_with("-")) continue;
    if (head == "room") map.leans[row[0]] = words(row[2]);
    if (head == "library") {
      for (const std::string& begin : words(row[1])) map.libraries[begin] = words(row[2]);
    }
  }
  return map;
}

struct Include {
  fs::path file;
  std::string room;    // the file's
  std::string header;  // as written
  bool quoted = false;
};

std::vector<Include> all_includes() {
  std::vector<Include> found;
  const fs::path src = test::source_folder() / "src";
  const std::regex pattern(R"(^\s*#include\s*([<"])([^>"]+)[>"])");
  for (const auto& entry : fs::recursive_directory_iterator(src)) {
    if (entry.path().extension() != ".h" && entry.path().extension() != ".cpp") continue;
    std::ifstream in(entry.path());
    for (std::string line; std::getline(in, line);) {
      std::smatch match;
      if (!std::regex_search(line, match, pattern)) continue;
      const fs::path inside = fs::relative(entry.path(), src);
      found.push_back({inside, inside.begin()->string(), match[2], match[1] == "\""});
    }
  }
  return found;
}

TEST(Map, EveryIncludeOfAnotherRoomIsInTheTable) {
  const Map map = read_map();
  ASSERT_GE(map.leans.size(), 10U);
  const auto includes = all_includes();
  ASSERT_GE(includes.size(), 100U);
  for (const Include& i : includes) {
    if (!i.quoted) continue;
    const std::string other = fs::path(i.header).begin()->string();
    ASSERT_TRUE(map.leans.contains(i.room)) << i.room << " is not in the table";
    EXPECT_TRUE(other == i.room || map.leans.at(i.room).contains(other)) << i.file << " includes " << i.header;
  }
}

TEST(Map, LibrariesStayInTheirRooms) {
  const Map map = read_map();
  ASSERT_GE(map.libraries.size(), 8U);
  for (const Include& i : all_includes()) {
    if (i.quoted) continue;
    for (const auto& [begin, rooms] : map.libraries) {
      const bool of_library = i.header.starts_with(begin) && (begin == "libav" ? !i.header.starts_with("libsw") : true);
      if (of_library) {
        EXPECT_TRUE(rooms.contains(i.room)) << i.file << " includes " << i.header;
      }
    }
  }
}

TEST(Map, NounsNeverSeeAVisionOrVideoLibrary) {
  const std::set<std::string> nouns = {"frame.h", "clip_facts.h", "scale.h",       "track.h",
                                       "path.h",  "reps.h",       "measurement.h", "card.h"};
  for (const Include& i : all_includes()) {
    if (!nouns.contains(i.file.filename().string()) || i.quoted) continue;
    EXPECT_EQ(i.header.find('/'), std::string::npos) << i.file << " includes " << i.header;
  }
}

}  // namespace
}  // namespace risetrace
