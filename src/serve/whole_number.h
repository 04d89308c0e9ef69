// Numbers as an address or a header spells them.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace risetrace::serve {

// Digits and nothing else; empty where it is no number, or none of 64 bits.
std::optional<std::uint64_t> whole_number(std::string_view text);

}  // namespace risetrace::serve
