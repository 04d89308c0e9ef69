// Just enough of ISO/IEC 14496-12 to take MP4 files apart in tests.
#pragma once

#include <cstdint>
#include <cstring>
#include <string>
#include <vector>

namespace risetrace::test {

// Where the four letters stand, from `from` on; std::string::npos where they do not.
inline std::size_t find_box(const std::vector<char>& bytes, const char* name, std::size_t from = 0) {
  for (std::size_t at = from; at + 4 <= bytes.size(); ++at) {
    if (std::memcmp(bytes.data() + at, name, 4) == 0) return at;
  }
  return std::string::npos;
}

inline std::uint32_t number_at(const std::vector<char>& bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<std::uint8_t>(bytes[at + i]);
  return value;
}

inline void put_number(std::vector<char>& bytes, std::size_t at, std::uint32_t value) {
  for (std::size_t i = 0; i < 4; ++i) bytes[at + i] = static_cast<char>(value >> (24 - 8 * i) & 255);
}

// The same clip with its index (moov, last in the file) moved to just after ftyp, as files made for the web have it.
inline std::vector<char> index_first(const std::vector<char>& bytes) {
  const std::size_t index_at = find_box(bytes, "moov") - 4;
  const std::size_t head = number_at(bytes, 0);  // ftyp
  std::vector<char> index(bytes.begin() + static_cast<long>(index_at), bytes.end());
  for (std::size_t at = find_box(index, "stco"); at != std::string::npos; at = find_box(index, "stco", at + 4)) {
    const std::uint32_t count = number_at(index, at + 8);
    for (std::uint32_t i = 0; i < count; ++i) {
      const std::size_t entry = at + 12 + 4 * std::size_t{i};
      put_number(index, entry, number_at(index, entry) + static_cast<std::uint32_t>(index.size()));
    }
  }
  std::vector<char> moved(bytes.begin(), bytes.begin() + static_cast<long>(head));
  moved.insert(moved.end(), index.begin(), index.end());
  moved.insert(moved.end(), bytes.begin() + static_cast<long>(head), bytes.begin() + static_cast<long>(index_at));
  return moved;
}

}  // namespace risetrace::test
