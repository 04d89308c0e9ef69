// What a job makes of a visit's tests and papers.
#pragma once

#include <filesystem>
#include <string>

#include "serve/draft.h"
#include "serve/worker.h"

namespace risetrace::serve {

// A worker that was killed leaves what it wrote aside: of "result" or "screen", in the folder it ran in.
void clear_leavings(const std::filesystem::path& folder, const std::string& of);

// `fault`: the worker's own name for what failed, where it told one: then the failure's code.
Failure why_ended(const WorkerEnd& end, const std::string& fault);

bool is_at_work(const DraftTest& test);    // it waits or is measured
bool is_under_way(const DraftTest& test);  // or its clip is coming
void wait_from_now(DraftTest& test);
// What waited or ran and no longer does ("": the papers); whether anything did.
bool cancel_in(Draft& draft, const std::string& slot);

}  // namespace risetrace::serve
