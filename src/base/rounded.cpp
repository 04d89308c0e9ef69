#include "base/rounded.h"

#include <cstdio>

namespace risetrace {

std::string rounded(double value, int decimals) {
  char text[32];
  std::snprintf(text, sizeof text, "%.*f", decimals, value);
  return text;
}

}  // namespace risetrace
