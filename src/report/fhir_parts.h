// The parts of a FHIR bundle. Inside of report/.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "model/wording.h"
#include "visit/screen.h"

namespace risetrace::report {

// What the resources of one bundle share. Holds references only.
struct FhirContext {
  const visit::Screen& screen;
  const model::Wording& words;
  std::string space;  // a UUID that follows from the screen: that of the bundle

  [[nodiscard]] std::string id(const std::string& name) const;  // of the resource of that name within the bundle
};

// Our own code systems: "quantity", "form", "got-by", "finding". A URN of a UUID that stays.
std::string code_system(const std::string& name);

nlohmann::ordered_json concept_of(const std::string& system, const std::string& code, const std::string& text);
nlohmann::ordered_json reference_to(const FhirContext& context, const std::string& name);

inline constexpr const char* patient_name = "patient";
std::string device_name(const std::string& program_version);

// One for each number of the visit, and one for the pain of each test in which it was asked for.
std::vector<nlohmann::ordered_json> observations(const FhirContext& context);

}  // namespace risetrace::report
