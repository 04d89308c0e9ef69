// Earlier visits of a person, from the record to files that `screen` takes.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace risetrace::serve {

// Into `folder`/earlier; names from `folder` on, in order of their dates. None where the record is not there or does
// not know the code. Throws Refusal.
std::vector<std::string> write_earlier(const std::filesystem::path& record, const std::string& code,
                                       const std::string& before_date, const std::filesystem::path& folder);

}  // namespace risetrace::serve
