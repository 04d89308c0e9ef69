// A set of hops in result.json and in a recount. Inside of report/.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>

#include "hop/contacts.h"
#include "hop/hops.h"
#include "measure/measurement.h"

namespace risetrace::report {

// All but the contacts.
nlohmann::ordered_json hop_set_json(const hop::HopSet& set, std::optional<double> asked_bpm);
// Their instants with every digit: they are counted anew from here.
nlohmann::ordered_json contacts_json(const hop::Contacts& contacts);

// The part "hop" of result.json; null where there is none.
nlohmann::ordered_json hops_json(const measure::Measurement& measurement);

// What a set came to, told briefly beside one that a person corrected.
nlohmann::ordered_json brief_json(const hop::HopSet& set);

}  // namespace risetrace::report
