// What is measured and written by workers: one clip after the other in one lane, papers in another, so that nobody
// waits for minutes of measuring to see a page of paper.
#pragma once

#include <atomic>
#include <condition_variable>
#include <deque>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "serve/desk.h"
#include "serve/worker.h"

namespace risetrace::serve {

struct JobPlaces {
  std::filesystem::path program;
  std::filesystem::path record;
  int measuring_at_once = 1;
  std::vector<std::string> measure_extras;  // further words for `measure`: what of its results the page shows
};

struct ScreenWish {
  std::string language = "en";
  bool keep = false;
  std::string correction;  // why a kept visit is replaced; empty: it is not to be
};

class Jobs {
 public:
  Jobs(Desk& desk, JobPlaces places);
  Jobs(const Jobs&) = delete;
  Jobs& operator=(const Jobs&) = delete;
  ~Jobs();  // ends what runs; what was waiting or measuring is taken up again by the next server

  // Sets its state to waiting and makes `change`, both or neither; then `written` is called, when that is on the disk.
  // Throws Refusal.
  void measure(const std::string& id, const std::string& slot, const std::function<void(DraftTest&)>& change = {},
               const std::function<void()>& written = {});
  // The upload `token`, which is whole, becomes the clip: what was measured of an earlier one goes, and it is measured.
  // Whoever calls holds the claim on the arrival. Throws Refusal; then the upload stays as it is.
  void take_clip(const std::string& id, const std::string& slot, const std::string& token);
  // A worker for some seconds in the caller's own thread, of what lies in the slot's folder; what it says on standard
  // output. Throws Refusal.
  std::string preview(const std::string& id, const std::string& slot, const std::vector<std::string>& arguments);
  // Whatever waited or was being measured when a server ended.
  void take_up();
  // Nothing new begins, what runs is ended.
  void stop();
  // Waiting or running of that test ("": the screen); false where there is neither.
  bool cancel(const std::string& id, const std::string& slot);
  // All of a visit, or of one test of it, and waits until nothing of it runs.
  void drop(const std::string& id);
  void drop_test(const std::string& id, const std::string& slot);
  // Sets the screen's state to running. Throws Refusal.
  void screen(const std::string& id, const ScreenWish& wish);

 private:
  struct Job {
    std::string id;
    std::string slot;  // empty: the screen
    ScreenWish wish;
    Claims::Claim claim;  // none of the screen
  };
  struct Running {
    Job job;
    Worker worker;
    std::string fault;  // the worker's own name for what failed
    bool previews = false;
    std::atomic<bool> cancelled = false;
    int of_revision = 0;  // of the session that papers are made of
    int of_tests_revision = 0;
  };
  struct Lane {
    std::deque<Job> waiting;
    std::vector<std::thread> threads;
  };
  void drop_where(const std::function<bool(const Job&)>& wanted);
  void work(Lane& lane);
  void queue(Lane& lane, Job job);
  void take_up_test(const Draft& draft, const std::string& slot);
  void do_job(const std::shared_ptr<Running>& running);
  void fail(const Job& job, const Failure& failure);
  void forget(const std::shared_ptr<Running>& running);
  void do_measure(Running& running);
  void do_screen(Running& running);
  void settle_measure(const Running& running, const WorkerEnd& end);
  void settle_screen(const Running& running, const WorkerEnd& end);
  void enter_preview(const std::shared_ptr<Running>& running);
  WorkerEnd run_worker(Running& running, WorkerOptions options);
  bool stopping();

  Desk& desk_;
  JobPlaces places_;
  std::mutex mutex_;
  std::condition_variable some_;
  std::condition_variable ended_;
  bool stop_ = false;
  std::vector<std::shared_ptr<Running>> running_;
  Lane measuring_;
  Lane papers_;
};

}  // namespace risetrace::serve
