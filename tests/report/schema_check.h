// A JSON document held against a schema of models/schema/.
#pragma once

#include <string>

namespace risetrace::test {

// Empty where the document fits, else what does not, a line each.
std::string misfit(const std::string& schema_file, const std::string& document);

}  // namespace risetrace::test
