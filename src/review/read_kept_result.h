// Reads result.json and trace.csv back.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "model/raise_protocol.h"
#include "review/kept_result.h"

namespace risetrace::review {

// `protocol` fills in what an earlier result does not say of its rules. Fault result_unreadable, with what is wrong:
// no such folder, another schema, a lunge, no scale, a trace of an earlier version of the program that lacks the exact
// columns, cells that are no numbers.
Result<KeptResult> read_kept_result(const std::filesystem::path& folder, const model::RaiseProtocol& protocol);

// The same from their texts.
Result<KeptResult> read_kept_texts(const std::string& result_json, const std::string& trace_csv,
                                   const model::RaiseProtocol& protocol);

}  // namespace risetrace::review
