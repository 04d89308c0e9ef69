// What the manifest of an export and the JSON of the command line say alike. Inside of record/.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "record/kept.h"

namespace risetrace::record {

inline nlohmann::ordered_json or_null(const std::optional<std::string>& text) {
  return text ? nlohmann::ordered_json(*text) : nlohmann::ordered_json(nullptr);
}

inline nlohmann::ordered_json revisions_json(const std::vector<Revision>& revisions) {
  nlohmann::ordered_json out = nlohmann::ordered_json::array();
  for (const Revision& one : revisions) {
    out.push_back({{"number", one.number}, {"at", one.at}, {"by", or_null(one.by)}, {"why", or_null(one.why)}});
  }
  return out;
}

}  // namespace risetrace::record
