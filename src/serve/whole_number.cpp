#include "serve/whole_number.h"

#include <charconv>

namespace risetrace::serve {

std::optional<std::uint64_t> whole_number(std::string_view text) {
  std::uint64_t value = 0;
  const auto [end, wrong] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || wrong != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

}  // namespace risetrace::serve
