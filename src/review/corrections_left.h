// What would be lost where a clip is measured again over a result that a person had corrected.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace risetrace::review {

// The name under which it is kept in the new result's folder.
inline constexpr const char* corrections_before = "corrections-before.json";

// The corrections in the result that stands in `folder`, as a file of corrections with the clip's checksum; else those
// that were kept there from a result before it. Empty where there are none, no result that can be read, or one of
// another clip than that with the checksum `sha256`.
std::optional<std::string> corrections_left(const std::filesystem::path& folder, const std::string& sha256);

}  // namespace risetrace::review
