// A number for a sentence.
#pragma once

#include <string>

namespace risetrace {

// Fixed decimals: rounded(2.449, 1) is "2.4".
std::string rounded(double value, int decimals);

}  // namespace risetrace
