#include "record/kept.h"

#include <array>

namespace risetrace::record {
namespace {

constexpr std::array<const char*, 4> keys = {"session", "result", "screen", "log"};

}  // namespace

const char* key_of(Kind kind) { return keys.at(static_cast<std::size_t>(kind)); }

std::optional<Kind> kind_from(std::string_view key) {
  for (std::size_t i = 0; i < keys.size(); ++i) {
    if (key == keys.at(i)) return static_cast<Kind>(i);
  }
  return std::nullopt;
}

}  // namespace risetrace::record
