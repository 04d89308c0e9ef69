#include "serve/byte_range.h"

#include <algorithm>
#include <charconv>
#include <string_view>

namespace risetrace::serve {
namespace {

// Digits and nothing else; a number too great for 64 bits is the greatest there is.
std::optional<std::uint64_t> number(std::string_view text) {
  if (text.empty() || !std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; })) return {};
  std::uint64_t value = 0;
  const auto [end, wrong] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (wrong == std::errc::result_out_of_range) return UINT64_MAX;
  return value;
}

}  // namespace

AskedRange read_range(const std::string& header, std::uint64_t file_bytes) {
  const AskedRange whole;
  const AskedRange unsatisfiable{RangeKind::unsatisfiable, {}};
  std::string_view text = header;
  if (!text.starts_with("bytes=")) return whole;
  text.remove_prefix(6);
  const auto line = text.find('-');
  if (line == std::string_view::npos || text.find(',') != std::string_view::npos) return whole;
  const auto first = number(text.substr(0, line));
  const auto last = number(text.substr(line + 1));
  if (line == 0) {  // the last so many bytes
    if (!last) return whole;
    if (*last == 0 || file_bytes == 0) return unsatisfiable;
    const std::uint64_t length = std::min(*last, file_bytes);
    return {RangeKind::part, {file_bytes - length, length}};
  }
  if (!first || (line + 1 < text.size() && !last) || (last && *last < *first)) return whole;
  if (*first >= file_bytes) return unsatisfiable;
  const std::uint64_t end = last ? std::min(*last, file_bytes - 1) : file_bytes - 1;
  return {RangeKind::part, {*first, end - *first + 1}};
}

}  // namespace risetrace::serve
