#include "review/corrections_left.h"

#include <nlohmann/json.hpp>

#include "base/read_file.h"

namespace risetrace::review {

std::optional<std::string> corrections_left(const std::filesystem::path& folder, const std::string& sha256) {
  using nlohmann::json;
  const auto text = read_file(folder / "result.json", most_document_bytes);
  if (!text) return std::nullopt;
  const json result = json::parse(*text, nullptr, false);
  if (!result.is_object()) return std::nullopt;
  const json::json_pointer checksum("/clip/sha256");
  if (!result.contains(checksum) || result[checksum] != sha256) return std::nullopt;
  const auto list = result.find("corrections");
  if (list == result.end() || !list->is_array() || list->empty()) {
    auto kept = read_file(folder / corrections_before, most_document_bytes);
    return kept ? std::optional(*std::move(kept)) : std::nullopt;
  }
  const json file = {{"schema", "risetrace/corrections/1"}, {"clip_sha256", sha256}, {"corrections", *list}};
  return file.dump(2, ' ', false, json::error_handler_t::replace) + "\n";
}

}  // namespace risetrace::review
