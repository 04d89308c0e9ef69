#include "base/read_file.h"

#include <fstream>
#include <system_error>

namespace risetrace {

std::optional<std::string> read_file(const std::filesystem::path& file, std::uintmax_t most_bytes) {
  std::error_code failed;
  // A stream opens a folder too, and reading from one throws.
  if (!std::filesystem::is_regular_file(file, failed) || failed) return std::nullopt;
  const std::uintmax_t size = std::filesystem::file_size(file, failed);
  if (failed || size > most_bytes) return std::nullopt;
  std::ifstream in(file, std::ios::binary);
  std::string text(static_cast<std::size_t>(size), '\0');
  in.read(text.data(), static_cast<std::streamsize>(size));
  if (!in) return std::nullopt;
  return text;
}

}  // namespace risetrace
