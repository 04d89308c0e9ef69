// Reads a result folder's numbers, result.json and trace.csv, into what a visit compares.
#pragma once

#include <filesystem>

#include "base/result.h"
#include "visit/test_result.h"

namespace risetrace::visit {

// `file`: result.json, or the folder it is in. Slot, pain and remarks are the entry's; everything else is the file's. A
// trace.csv beside it is taken where it is there. Faults: session_wrong, where the file cannot be read, is of another
// schema, or was measured of another test, side or knee than the entry says.
Result<TestResult> read_result(const std::filesystem::path& file, const TestEntry& entry);

// The entry's own numbers, typed in.
TestResult result_by_hand(const TestEntry& entry);

}  // namespace risetrace::visit
