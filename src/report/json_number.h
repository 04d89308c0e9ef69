// Numbers and words for a JSON document. Inside of report/.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace risetrace::report {

// Rounded to so many decimals; null where it is not known or not finite.
inline nlohmann::ordered_json number(std::optional<double> value, int decimals) {
  if (!value || !std::isfinite(*value)) return nullptr;
  const double unit = std::pow(10.0, decimals);
  return std::round(*value * unit) / unit + 0.0;  // + 0.0: no negative zero
}

// Every digit of it, so that reading gives the same number again; null where it is not known or not finite.
inline nlohmann::ordered_json exact(std::optional<double> value) {
  if (!value || !std::isfinite(*value)) return nullptr;
  return *value + 0.0;
}

inline nlohmann::ordered_json whole(std::optional<int> value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json(nullptr);
}
inline nlohmann::ordered_json flag(std::optional<bool> value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json(nullptr);
}
inline nlohmann::ordered_json text(const std::string& value) {  // null where it is empty
  return value.empty() ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(value);
}
template <typename Stated>
nlohmann::ordered_json stated(Stated value) {
  return value == Stated::not_stated ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(key_of(value));
}

}  // namespace risetrace::report
