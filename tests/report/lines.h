// Written text, line by line.
#pragma once

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

namespace risetrace::test {

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

// Of UTF-8: what a terminal shows side by side.
inline std::size_t code_points(const std::string& text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xc0U) != 0x80U; }));
}

}  // namespace risetrace::test
