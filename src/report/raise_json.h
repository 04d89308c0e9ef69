// A set of heel raises in result.json and in a recount. Inside of report/.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>

#include "ankle/knee_set.h"
#include "measure/measurement.h"
#include "model/raise_protocol.h"
#include "raise/reps.h"

namespace risetrace::report {

// For a rep whose knee was measured or not.
nlohmann::ordered_json rep_json(const raise::Rep& rep, const ankle::RepKnee& knee);
nlohmann::ordered_json forward_json(std::optional<double> forward);

// The part "heel_raise" of result.json; null where there is none.
nlohmann::ordered_json heel_raise_json(const measure::Measurement& measurement);

// What a set came to: counts, heights and end.
nlohmann::ordered_json counted_json(const raise::RepSet& set);
// The same with its reps, told briefly beside one that a person corrected; and the rules.
nlohmann::ordered_json brief_json(const raise::RepSet& set);
nlohmann::ordered_json rules_json(const model::RaiseProtocol& protocol, bool beat_stated);

}  // namespace risetrace::report
