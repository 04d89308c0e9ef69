// A file of text that somebody names, read whole.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

namespace risetrace {

// Empty where there is none, it is no regular file, cannot be read or is longer than `most_bytes`. Throws nothing.
std::optional<std::string> read_file(const std::filesystem::path& file, std::uintmax_t most_bytes);

inline constexpr std::uintmax_t most_document_bytes = std::uintmax_t{64} << 20U;  // a result is some hundred kilobytes

}  // namespace risetrace
