#include "serve/read_json.h"

#include <nlohmann/json.hpp>

namespace risetrace::serve {
namespace {

using nlohmann::json;

bool is_too_deep(std::string_view text) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_string) {
      if (c == '\\') ++i;
      if (c == '"') in_string = false;
    } else if (c == '"') {
      in_string = true;
    } else if (c == '[' || c == '{') {
      if (++depth > deepest_json) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
}

}  // namespace

json read_json(std::string_view text) {
  if (is_too_deep(text)) return json(json::value_t::discarded);
  return json::parse(text, nullptr, false);
}

}  // namespace risetrace::serve
