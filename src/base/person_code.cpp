#include "base/person_code.h"

#include <algorithm>

namespace risetrace {
namespace {

constexpr std::size_t longest = 40;

bool letter_or_digit(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'); }

}  // namespace

bool is_person_code(const std::string& text) {
  const auto fits = [](char c) { return letter_or_digit(c) || c == '.' || c == '-' || c == '_'; };
  return !text.empty() && text.size() <= longest && letter_or_digit(text.front()) &&
         std::all_of(text.begin(), text.end(), fits);
}

}  // namespace risetrace
