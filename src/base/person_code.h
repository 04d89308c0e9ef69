// How a person is called in files and in the record.
#pragma once

#include <string>

namespace risetrace {

// Up to 40 letters, digits, dots, dashes and underscores, a letter or digit first. Never a name: that no rule can see.
bool is_person_code(const std::string& text);

}  // namespace risetrace
