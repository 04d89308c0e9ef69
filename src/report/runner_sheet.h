// The sheet that the runner takes home.
#pragma once

#include <string>

#include "base/result.h"
#include "model/wording.h"
#include "visit/screen.h"

namespace risetrace::report {

// One A4 page in plain words: when to stop, what was found, what to train with a drawing of each exercise, the week,
// when to move up, the next test. Where no plan is made nothing of training is on it, but why and whom to see. `words`:
// of the runner, in any language. `today`: ISO 8601; the same input and day give the same bytes. Fault cannot_write.
Outcome write_runner_sheet(const std::string& file, const visit::Screen& screen, const model::Wording& words,
                           const std::string& version, const std::string& today);

}  // namespace risetrace::report
