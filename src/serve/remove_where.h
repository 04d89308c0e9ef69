// Files that were left behind.
#pragma once

#include <filesystem>
#include <functional>
#include <string>

namespace risetrace::serve {

// Whatever lies in `folder` by a name that is `wanted` goes, folders with all that is in them. What cannot be removed
// stays, without a word: it is tried again when the next server begins.
void remove_where(const std::filesystem::path& folder, const std::function<bool(const std::string& name)>& wanted);

}  // namespace risetrace::serve
