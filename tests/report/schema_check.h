// A JSON document held against a schema of models/schema/.
#pragma once

#include <filesystem>
#include <string>

namespace risetrace::test {

// Empty where the document fits, else what does not, a line each.
std::string misfit(const std::string& schema_file, const std::string& document);

// The same for a schema that lies elsewhere.
std::string misfit_with(const std::filesystem::path& schema, const std::string& document);

}  // namespace risetrace::test
