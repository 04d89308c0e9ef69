#include "model/wording.h"

#include <array>
#include <cstdio>

namespace risetrace::model {

std::string Wording::say(const std::string& key, const std::map<std::string, std::string>& fill) const {
  const auto found = words.find(key);
  if (found == words.end()) return "[" + key + "]";
  std::string text = found->second;
  for (const auto& [name, value] : fill) {
    const std::string mark = "{" + name + "}";
    for (auto at = text.find(mark); at != std::string::npos; at = text.find(mark, at + value.size())) {
      text.replace(at, mark.size(), value);
    }
  }
  return text;
}

std::string Wording::number(double value, int decimals) const {
  std::array<char, 64> text{};
  std::snprintf(text.data(), text.size(), "%.*f", decimals, value);
  std::string out = text.data();
  if (out.find_first_not_of("-0.") == std::string::npos && out.front() == '-') out.erase(0, 1);  // no "-0.0"
  if (const auto point = out.find('.'); point != std::string::npos) out.replace(point, 1, decimal_mark);
  return out;
}

}  // namespace risetrace::model
