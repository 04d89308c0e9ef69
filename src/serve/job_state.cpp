#include "serve/job_state.h"

#include "serve/remove_where.h"

namespace risetrace::serve {

namespace fs = std::filesystem;

void clear_leavings(const fs::path& folder, const std::string& of) {
  remove_where(folder, [&](const std::string& name) {
    return name.starts_with(of + ".partial-") || name.starts_with(of + ".earlier-");
  });
}

Failure why_ended(const WorkerEnd& end, const std::string& fault) {
  if (end.hung) return hung_failure();
  Failure failure = failure_of(end.status, end.last_line);
  if (!fault.empty()) failure.code = fault;
  return failure;
}

bool is_at_work(const DraftTest& test) {
  return test.state == TestState::waiting || test.state == TestState::measuring;
}

bool is_under_way(const DraftTest& test) { return test.state == TestState::uploading || is_at_work(test); }

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
