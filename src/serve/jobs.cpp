#include "serve/jobs.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "serve/clock.h"
#include "serve/earlier_visits.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

// A worker that was killed leaves what it wrote aside.
void clear_leavings(const fs::path& folder, const std::string& of) {
  std::error_code wrong;
  std::vector<fs::path> leavings;
  for (fs::directory_iterator one(folder, wrong), end; !wrong && one != end; one.increment(wrong)) {
    const std::string name = one->path().filename().string();
    if (name.starts_with(of + ".partial-") || name.starts_with(of + ".earlier-")) leavings.push_back(one->path());
  }
  for (const fs::path& one : leavings) fs::remove_all(one, wrong);
}

}  // namespace

Jobs::Jobs(Desk& desk, JobPlaces places) : desk_(desk), places_(std::move(places)) {
  for (int i = 0; i < places_.measuring_at_once; ++i) {
    measuring_.threads.emplace_back([this] { work(measuring_); });
  }
  papers_.threads.emplace_back([this] { work(papers_); });
}

Jobs::~Jobs() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
    for (const auto& running : running_) running->worker.end_it();
  }
  some_.notify_all();
  for (Lane* lane : {&measuring_, &papers_}) {
    for (std::thread& thread : lane->threads) thread.join();
  }
}

bool Jobs::stopping() {
  const std::lock_guard lock(mutex_);
  return stop_;
}

void Jobs::measure(const std::string& id, const std::string& slot) {
  desk_.change_test(id, slot, [&](DraftTest& test) {
    if (test.clip_file.empty()) {
      throw Refusal{409, "no-clip", "there is no clip to measure", "none was uploaded for this test", "upload one"};
    }
    if (test.state == TestState::waiting || test.state == TestState::measuring) {
      throw Refusal{409, "measuring-already", "the clip is being measured", "it was asked for before",
                    "wait, or cancel it"};
    }
    test.state = TestState::waiting;
    test.failure.reset();
    test.stage.clear();
    test.share = 0;
  });
  {
    const std::lock_guard lock(mutex_);
    measuring_.waiting.push_back({id, slot, {}});
  }
  some_.notify_all();
}

void Jobs::take_up() {
  for (const Draft& draft : desk_.drafts()) {
    for (const auto& [slot, test] : draft.tests) {
      if (test.state != TestState::waiting && test.state != TestState::measuring) continue;
      clear_leavings(draft.folder_of(slot), "result");
      desk_.change_test(draft.id, slot, [](DraftTest& one) { one.state = TestState::waiting; });
      const std::lock_guard lock(mutex_);
      measuring_.waiting.push_back({draft.id, slot, {}});
    }
    if (draft.screen.state == ScreenState::running) {
      clear_leavings(draft.folder, "screen");
      desk_.change(draft.id, [](Draft& one) { one.screen = DraftScreen(); });
    }
  }
  some_.notify_all();
}

bool Jobs::cancel(const std::string& id, const std::string& slot) {
  bool found = false;
  {
    const std::lock_guard lock(mutex_);
    for (Lane* lane : {&measuring_, &papers_}) {
      const auto waited =
          std::erase_if(lane->waiting, [&](const Job& job) { return job.id == id && job.slot == slot; });
      found = found || waited > 0;
    }
    if (!found) {
      for (const auto& running : running_) {
        if (running->job.id != id || running->job.slot != slot) continue;
        running->cancelled = true;
        running->worker.end_it();
        return true;
      }
    }
  }
  if (found && slot.empty()) {
    desk_.change(id, [](Draft& draft) { draft.screen = DraftScreen(); });
  } else if (found) {
    desk_.change_test(id, slot, [](DraftTest& test) { test.state = TestState::cancelled; });
  }
  return found;
}

void Jobs::drop(const std::string& id) {
  drop_where([&](const Job& job) { return job.id == id; });
}

void Jobs::drop_test(const std::string& id, const std::string& slot) {
  drop_where([&](const Job& job) { return job.id == id && job.slot == slot; });
}

void Jobs::drop_where(const std::function<bool(const Job&)>& wanted) {
  std::unique_lock lock(mutex_);
  for (Lane* lane : {&measuring_, &papers_}) std::erase_if(lane->waiting, wanted);
  const auto of_those = [&](const auto& running) { return wanted(running->job); };
  for (const auto& running : running_) {
    if (!of_those(running)) continue;
    running->cancelled = true;
    running->worker.end_it();
  }
  ended_.wait(lock, [&] { return std::none_of(running_.begin(), running_.end(), of_those); });
}

void Jobs::screen(const std::string& id, const ScreenWish& wish) {
  desk_.change(id, [&](Draft& draft) {
    if (draft.screen.state == ScreenState::running) {
      throw Refusal{409, "writing-already", "the papers are being written", "they were asked for before",
                    "wait a moment"};
    }
    if (wish.keep && draft.quick) {
      throw Refusal{409, "quick-visit", "a quick visit is not kept", "it is of nobody and goes when it is closed",
                    "open a visit with a code"};
    }
    draft.screen.state = ScreenState::running;
    draft.screen.failure.reset();
  });
  {
    const std::lock_guard lock(mutex_);
    papers_.waiting.push_back({id, "", wish});
  }
  some_.notify_all();
}

void Jobs::work(Lane& lane) {
  for (;;) {
    Job job;
    {
      std::unique_lock lock(mutex_);
      some_.wait(lock, [&] { return stop_ || !lane.waiting.empty(); });
      if (stop_) return;
      job = lane.waiting.front();
      lane.waiting.pop_front();
    }
    do_job(job);
  }
}

void Jobs::do_job(const Job& job) {
  const auto running = std::make_shared<Running>();
  running->job = job;
  {
    const std::lock_guard lock(mutex_);
    running_.push_back(running);
  }
  try {
    job.slot.empty() ? do_screen(*running) : do_measure(*running);
  } catch (const Refusal& refusal) {  // the visit is gone, or cannot be written
    const Failure failure{refusal.code, refusal.what, refusal.why, refusal.what_to_do};
    try {
      desk_.change(job.id, [&](Draft& draft) {
        if (job.slot.empty()) {
          draft.screen.state = ScreenState::failed;
          draft.screen.failure = failure;
        } else {
          draft.tests[job.slot].state = TestState::failed;
          draft.tests[job.slot].failure = failure;
        }
      });
    } catch (const Refusal&) {  // then nobody is there to be told
    }
  }
  {
    const std::lock_guard lock(mutex_);
    std::erase(running_, running);
  }
  ended_.notify_all();
}

WorkerEnd Jobs::run_worker(Running& running, std::vector<std::string> arguments, const fs::path& folder) {
  WorkerOptions options;
  options.program = places_.program;
  options.arguments = std::move(arguments);
  options.folder = folder;
  options.on_error_line = [this, &running](const std::string& line) {
    if (line.empty() || line.front() != '{') return;
    const json progress = read_json(line);
    if (progress.is_object() && progress.contains("fault") && progress["fault"].is_string()) {
      running.fault = progress["fault"].get<std::string>();
    }
    if (!progress.is_object() || !progress.contains("share") || !progress["share"].is_number()) return;
    const json stage = progress.value("stage", json());
    desk_.set_progress(running.job.id, running.job.slot, stage.is_string() ? stage.get<std::string>() : "",
                       progress["share"].get<double>());
  };
  if (const Outcome started = running.worker.start(options); !started) throw refusal_of(started.error());
  if (stopping()) running.worker.end_it();
  return running.worker.run();
}

void Jobs::do_measure(Running& running) {
  const auto& [id, slot, wish] = running.job;
  desk_.change_test(id, slot, [](DraftTest& test) { test.state = TestState::measuring; });
  const Draft draft = desk_.draft(id);
  const fs::path folder = draft.folder_of(slot);
  std::vector<std::string> words = {
      "measure", draft.tests.at(slot).clip_file, "--out=result", "--report", "--quiet", "--progress=lines"};
  if (draft.quick) words.push_back("--overlay");  // somebody alone looks at the clip rather than at papers
  const auto more = measure_arguments(draft, slot);
  words.insert(words.end(), more.begin(), more.end());
  words.insert(words.end(), places_.measure_extras.begin(), places_.measure_extras.end());
  if (draft.tests.at(slot).corrections > 0) words.push_back(std::string("--corrections=") + corrections_file);
  const WorkerEnd end = run_worker(running, std::move(words), folder);
  if (stopping() && !running.cancelled) return;  // the next server takes it up
  clear_leavings(folder, "result");
  settle_measure(running, end);
}

void Jobs::settle_measure(const Running& running, const WorkerEnd& end) {
  desk_.change_test(running.job.id, running.job.slot, [&](DraftTest& test) {
    test.stage.clear();
    test.share = 0;
    if (end.status == 0) {
      test.state = TestState::measured;
      test.measured_at = utc_now();
      test.failure.reset();
    } else if (running.cancelled) {
      test.state = TestState::cancelled;
    } else {
      test.state = TestState::failed;
      test.failure = failure_of(end.status, end.last_line);
      if (!running.fault.empty()) test.failure->code = running.fault;
    }
  });
}

void Jobs::do_screen(Running& running) {
  const auto& [id, slot, wish] = running.job;
  const Draft draft = desk_.draft(id);
  running.of_revision = draft.revision;
  SessionFile file;
  if (const std::string log = training_log_of(draft); !log.empty()) {
    write_whole(draft.folder / "training-log.json", log);
    file.has_log = true;
  }
  // With --keep the command takes them from the record itself, and the kept session names no file that will be gone.
  if (!wish.keep && !draft.quick)
    file.earlier = write_earlier(places_.record, code_of(draft), date_of(draft), draft.folder);
  write_whole(draft.folder / "session.json", session_for_screen(draft, file));
  std::vector<std::string> words = {"screen",  "session.json",     "--out=screen",
                                    "--quiet", "--progress=lines", "--language=" + wish.language};
  if (wish.keep) words.insert(words.end(), {"--keep", "--record=" + places_.record.string()});
  if (!wish.correction.empty()) words.push_back("--correction=" + wish.correction);
  const WorkerEnd end = run_worker(running, std::move(words), draft.folder);
  clear_leavings(draft.folder, "screen");
  settle_screen(running, end);
}

void Jobs::settle_screen(const Running& running, const WorkerEnd& end) {
  desk_.change(running.job.id, [&](Draft& draft) {
    if (end.status == 0) {
      draft.screen = {ScreenState::ready, std::nullopt, utc_now(), running.of_revision, running.job.wish.keep};
    } else if (running.cancelled) {
      draft.screen = DraftScreen();
    } else {
      draft.screen.state = ScreenState::failed;
      draft.screen.failure = failure_of(end.status, end.last_line);
    }
  });
}

}  // namespace risetrace::serve
