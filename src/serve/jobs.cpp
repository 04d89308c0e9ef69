#include "serve/jobs.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/read_file.h"
#include "serve/clock.h"
#include "serve/draft_store.h"
#include "serve/earlier_visits.h"
#include "serve/job_state.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/slots.h"

namespace risetrace::serve {

namespace fs = std::filesystem;
using nlohmann::json;

Jobs::Jobs(Desk& desk, JobPlaces places) : desk_(desk), places_(std::move(places)) {
  for (int i = 0; i < places_.measuring_at_once; ++i) {
    measuring_.threads.emplace_back([this] { work(measuring_); });
  }
  papers_.threads.emplace_back([this] { work(papers_); });
}

Jobs::~Jobs() {
  stop();
  for (Lane* lane : {&measuring_, &papers_}) {
    for (std::thread& thread : lane->threads) thread.join();
  }
}

void Jobs::stop() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
    for (const auto& running : running_) running->worker.end_it();
  }
  some_.notify_all();
}

bool Jobs::stopping() {
  const std::lock_guard lock(mutex_);
  return stop_;
}

void Jobs::queue(Lane& lane, Job job) {
  {
    const std::lock_guard lock(mutex_);
    lane.waiting.push_back(std::move(job));
  }
  some_.notify_all();
}

void Jobs::measure(const std::string& id, const std::string& slot, const std::function<void(DraftTest&)>& change,
                   const std::function<void()>& written) {
  auto claim = desk_.claims().claim(id, slot, Place::result, Use::measuring);
  desk_.change_test(id, slot, [&](DraftTest& test) {
    if (test.clip_file.empty()) {
      throw Refusal{409, "no-clip", "there is no clip to measure", "none was uploaded for this test", "upload one"};
    }
    if (change) change(test);
    wait_from_now(test);
  });
  if (written) written();
  queue(measuring_, {id, slot, {}, std::move(claim)});
}

void Jobs::take_clip(const std::string& id, const std::string& slot, const std::string& token) {
  constexpr double patience_s = 10;
  drop_test(id, slot);
  auto claim = desk_.claims().claim(id, slot, Place::result, Use::taking_in, patience_s);
  const Draft draft = desk_.change(id, [&](Draft& one) {
    mark_arrived(one.tests[slot], token);
    ++one.tests_revision;
  });
  try {
    move_arrived(draft.folder_of(slot), draft.tests.at(slot));
  } catch (const Refusal& refusal) {
    fail({id, slot, {}, nullptr}, failure_of(refusal));
    throw;
  }
  desk_.change_test(
      id, slot,
      [](DraftTest& test) {
        test.upload.reset();
        wait_from_now(test);
      },
      Keep::or_later);
  claim->becomes(Use::measuring);
  queue(measuring_, {id, slot, {}, std::move(claim)});
}

void Jobs::take_up_test(const Draft& draft, const std::string& slot) {
  const DraftTest& test = draft.tests.at(slot);
  const fs::path folder = draft.folder_of(slot);
  if (test.upload && came(part_file(folder, test.upload->token)) == test.upload->bytes) {
    return take_clip(draft.id, slot, test.upload->token);
  }
  if (!is_at_work(test)) return;
  clear_leavings(folder, "result");
  std::error_code none_waits;
  fs::rename(folder / next_corrections_file, folder / corrections_file, none_waits);
  auto claim = desk_.claims().claim(draft.id, slot, Place::result, Use::measuring);
  const DraftTest now = desk_.change_test(
      draft.id, slot,
      [](DraftTest& one) {
        if (one.upload && one.upload->whole) one.upload.reset();  // moved already
        if (one.state == TestState::measuring) ++one.broken_off;
        one.state = TestState::waiting;
      },
      Keep::or_later);
  constexpr int most_broken_off = 2;
  if (now.broken_off < most_broken_off) return queue(measuring_, {draft.id, slot, {}, std::move(claim)});
  fail({draft.id, slot, {}, nullptr},
       {"broke-off", "measuring broke off", "the server ended twice while this clip was measured",
        "measure it again; if it happens again, film or export the clip anew"});
}

void Jobs::take_up() {
  for (const Draft& draft : desk_.drafts()) {
    for (const auto& [slot, test] : draft.tests) {
      try {
        take_up_test(draft, slot);
      } catch (const Refusal&) {  // a full disk: it stays as it was, and the page can be opened
      }
    }
    if (draft.screen.state != ScreenState::running) continue;
    clear_leavings(draft.folder, "screen");
    desk_.change(
        draft.id, [](Draft& one) { one.screen = DraftScreen(); }, Keep::or_later);
  }
}

bool Jobs::cancel(const std::string& id, const std::string& slot) {
  {
    const std::lock_guard lock(mutex_);
    for (const auto& running : running_) {
      if (running->job.id != id || running->job.slot != slot) continue;
      running->cancelled = true;
      running->worker.end_it();
      return true;
    }
    for (Lane* lane : {&measuring_, &papers_}) {
      std::erase_if(lane->waiting, [&](const Job& job) { return job.id == id && job.slot == slot; });
    }
  }
  bool was = false;
  desk_.change(
      id, [&](Draft& draft) { was = cancel_in(draft, slot); }, Keep::or_later);
  return was;
}

void Jobs::drop(const std::string& id) {
  drop_where([&](const Job& job) { return job.id == id; });
}

void Jobs::drop_test(const std::string& id, const std::string& slot) {
  if (slot.empty()) return;
  drop_where([&](const Job& job) { return job.id == id && job.slot == slot; });
  if (const Draft draft = desk_.draft(id); draft.tests.contains(slot) && is_at_work(draft.tests.at(slot))) {
    desk_.change(
        id, [&](Draft& one) { cancel_in(one, slot); }, Keep::or_later);
  }
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
    if (const auto refusal = why_no_papers(draft)) throw *refusal;
    draft.screen.state = ScreenState::running;
    draft.screen.failure.reset();
  });
  queue(papers_, {id, "", wish, nullptr});
}

void Jobs::work(Lane& lane) {
  for (;;) {
    const auto running = std::make_shared<Running>();
    {
      std::unique_lock lock(mutex_);
      some_.wait(lock, [&] { return stop_ || !lane.waiting.empty(); });
      if (stop_) return;
      running->job = std::move(lane.waiting.front());
      lane.waiting.pop_front();
      running_.push_back(running);  // at once: a job is in one of the two, or has ended
    }
    do_job(running);
  }
}

void Jobs::fail(const Job& job, const Failure& failure) {
  try {
    desk_.change(
        job.id,
        [&](Draft& draft) {
          if (job.slot.empty()) {
            draft.screen.state = ScreenState::failed;
            draft.screen.failure = failure;
          } else {
            draft.tests[job.slot].state = TestState::failed;
            draft.tests[job.slot].failure = failure;
          }
        },
        Keep::or_later);
  } catch (const Refusal&) {  // the visit is gone: nobody is there to be told
  }
}

void Jobs::do_job(const std::shared_ptr<Running>& running) {
  const Job job = {running->job.id, running->job.slot, running->job.wish, nullptr};
  try {
    job.slot.empty() ? do_screen(*running) : do_measure(*running);
  } catch (const Refusal& refusal) {  // the visit is gone, or cannot be written
    fail(job, failure_of(refusal));
  } catch (const std::exception& defect) {
    fail(job, defect_failure(defect.what()));
  }
  forget(running);
}

void Jobs::forget(const std::shared_ptr<Running>& running) {
  {
    const std::lock_guard lock(mutex_);
    running->job.claim.reset();
    std::erase(running_, running);
  }
  ended_.notify_all();
}

WorkerEnd Jobs::run_worker(Running& running, WorkerOptions options) {
  options.program = places_.program;
  if (!options.on_error_line) {
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
  }
  if (const Outcome started = running.worker.start(options); !started) throw refusal_of(started.error());
  if (stopping()) running.worker.end_it();
  WorkerEnd end = running.worker.run();
  if (running.job.claim) running.job.claim->becomes(Use::taking_in);  // soon done: worth waiting for
  return end;
}

void Jobs::enter_preview(const std::shared_ptr<Running>& running) {
  constexpr int most_at_once = 2;
  running->previews = true;
  const std::lock_guard lock(mutex_);
  const auto others = std::count_if(running_.begin(), running_.end(), [](const auto& one) { return one->previews; });
  if (stop_ || others >= most_at_once) {
    throw Refusal{409, "test-busy", "it cannot be looked at now", "others are being looked at", "wait a moment"};
  }
  running_.push_back(running);
}

std::string Jobs::preview(const std::string& id, const std::string& slot, const std::vector<std::string>& arguments) {
  constexpr std::size_t most_bytes = std::size_t{16} << 20U;
  std::string out;
  WorkerOptions options;
  options.arguments = arguments;
  options.folder = desk_.draft(id).folder_of(slot);
  options.most_cpu_s = 60;
  options.most_s = 30;
  options.most_file_bytes = most_document_bytes;
  options.on_error_line = [](const std::string&) {};
  options.on_out_line = [&](const std::string& line) {
    if (out.size() + line.size() < most_bytes) out += line + "\n";
  };
  const auto running = std::make_shared<Running>();
  running->job.id = id;
  running->job.slot = slot;
  running->job.claim = desk_.claims().claim(id, slot, Place::result, Use::previewing);
  enter_preview(running);
  const std::shared_ptr<void> leaves(nullptr, [&](void*) { forget(running); });  // whatever is thrown
  const WorkerEnd end = run_worker(*running, std::move(options));
  if (end.status == 0) return out;
  const Failure failure = why_ended(end, running->fault);
  throw Refusal{end.status == 2 ? 400 : 422, failure.code, failure.what, failure.why, failure.what_to_do};
}

void Jobs::do_measure(Running& running) {
  const auto& [id, slot, wish, claim] = running.job;
  desk_.change_test(
      id, slot, [](DraftTest& test) { test.state = TestState::measuring; }, Keep::or_later);
  const Draft draft = desk_.draft(id);
  const fs::path folder = draft.folder_of(slot);
  std::vector<std::string> words = {
      "measure", draft.tests.at(slot).clip_file, "--out=result", "--report", "--quiet", "--progress=lines"};
  if (draft.quick) words.push_back("--overlay");  // somebody alone looks at the clip rather than at papers
  const auto more = measure_arguments(draft, slot);
  words.insert(words.end(), more.begin(), more.end());
  words.insert(words.end(), places_.measure_extras.begin(), places_.measure_extras.end());
  if (draft.tests.at(slot).corrections > 0) words.push_back(std::string("--corrections=") + corrections_file);
  WorkerOptions options;
  options.arguments = std::move(words);
  options.folder = folder;
  const WorkerEnd end = run_worker(running, std::move(options));
  if (stopping() && !running.cancelled) {  // the next server takes it up; this one ends in order
    desk_.change_test(
        id, slot, [](DraftTest& test) { test.state = TestState::waiting; }, Keep::or_later);
    return;
  }
  clear_leavings(folder, "result");
  settle_measure(running, end);
}

void Jobs::settle_measure(const Running& running, const WorkerEnd& end) {
  const auto settle = [&](Draft& draft) {
    DraftTest& test = draft.tests[running.job.slot];
    std::error_code ignored;
    test.stage.clear();
    test.share = 0;
    test.broken_off = 0;
    if (end.status == 0 && fs::exists(draft.folder_of(running.job.slot) / "result" / "result.json", ignored)) {
      test.state = TestState::measured;
      test.measured_at = utc_now();
      test.failure.reset();
      ++draft.tests_revision;
    } else if (running.cancelled) {
      test.state = TestState::cancelled;
    } else {
      test.state = TestState::failed;
      test.failure = end.status == 0 ? failure_of(-1, "") : why_ended(end, running.fault);
    }
  };
  desk_.change(running.job.id, settle, Keep::or_later);
}

void Jobs::do_screen(Running& running) {
  const auto& [id, slot, wish, claim] = running.job;
  const Draft draft = desk_.draft(id);
  running.of_revision = draft.revision;
  running.of_tests_revision = draft.tests_revision;
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
  WorkerOptions options;
  options.arguments = std::move(words);
  options.folder = draft.folder;
  const WorkerEnd end = run_worker(running, std::move(options));
  clear_leavings(draft.folder, "screen");
  settle_screen(running, end);
}

void Jobs::settle_screen(const Running& running, const WorkerEnd& end) {
  const auto settle = [&](Draft& draft) {
    if (end.status == 0) {
      draft.screen = {ScreenState::ready,        std::nullopt,         utc_now(), running.of_revision,
                      running.of_tests_revision, running.job.wish.keep};
    } else if (running.cancelled) {
      draft.screen = DraftScreen();
    } else {
      draft.screen.state = ScreenState::failed;
      draft.screen.failure = why_ended(end, running.fault);
    }
  };
  desk_.change(running.job.id, settle, Keep::or_later);
}

}  // namespace risetrace::serve
