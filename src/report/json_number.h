// A number for a JSON document. Inside of report/.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

namespace risetrace::report {

// Rounded to so many decimals; null where it is not known or not finite.
inline nlohmann::ordered_json number(std::optional<double> value, int decimals) {
  if (!value || !std::isfinite(*value)) return nullptr;
  const double unit = std::pow(10.0, decimals);
  return std::round(*value * unit) / unit + 0.0;  // + 0.0: no negative zero
}

}  // namespace risetrace::report
