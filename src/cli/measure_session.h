// Measures the clips of a session.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "base/progress.h"
#include "base/result.h"
#include "model/read_models.h"
#include "visit/session.h"
#include "visit/test_result.h"

namespace risetrace::cli {

struct MeasuredSession {
  std::vector<visit::TestResult> results;
  Notes notes;  // one for each clip of which nothing could be measured, with the reason
};

// The folder of a slot's result: "heel-raise-left-straight".
std::string folder_name(const visit::Slot& slot);

// Each entry's numbers: a clip is measured into `folder`/TEST-SIDE-KNEE, a result is read, what was typed in is taken
// as it is. A clip that shows nothing that can be measured is left out with a note: the rest of the visit stands.
// Faults: a clip or result that cannot be opened or read, said before anything is measured where it can be;
// cannot_write; stopped.
Result<MeasuredSession> measure_session(const visit::Session& session, const model::Models& models,
                                        const std::filesystem::path& folder, const std::string& version,
                                        const std::function<Watcher(const std::string& slot)>& watcher_of);

}  // namespace risetrace::cli
