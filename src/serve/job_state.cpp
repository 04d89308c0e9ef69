#include "serve/job_state.h"

#include <vector>

namespace risetrace::serve {

namespace fs = std::filesystem;

void clear_leavings(const fs::path& folder, const std::string& of) {
  std::error_code wrong;
  std::vector<fs::path> leavings;
  for (fs::directory_iterator one(folder, wrong), end; !wrong && one != end; one.increment(wrong)) {
    const std::string name = one->path().filename().string();
    if (name.starts_with(of + ".partial-") || name.starts_with(of + ".earlier-")) leavings.push_back(one->path());
  }
  for (const fs::path& one : leavings) fs::remove_all(one, wrong);
}

Failure why_ended(const WorkerEnd& end) { return end.hung ? hung_failure() : failure_of(end.status, end.last_line); }

bool is_at_work(const DraftTest& test) {
  return test.state == TestState::waiting || test.state == TestState::measuring;
}

void wait_from_now(DraftTest& test) {
  test.state = TestState::waiting;
  test.failure.reset();
  test.stage.clear();
  test.share = 0;
  test.broken_off = 0;
}

bool cancel_in(Draft& draft, const std::string& slot) {
  if (slot.empty()) {
    const bool was = draft.screen.state == ScreenState::running;
    if (was) draft.screen = DraftScreen();
    return was;
  }
  const auto test = draft.tests.find(slot);
  if (test == draft.tests.end()) return false;
  const bool was = is_at_work(test->second);
  if (was) test->second.state = TestState::cancelled;
  return was;
}

}  // namespace risetrace::serve
