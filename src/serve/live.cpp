#include "serve/live.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <future>
#include <nlohmann/json.hpp>
#include <thread>

#include "serve/clock.h"
#include "serve/random_id.h"
#include "serve/read_json.h"
#include "serve/worker.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr std::size_t most_at_once = 2;
constexpr std::uint64_t most_recording_bytes = std::uint64_t{8} << 30U;

std::string name_for(const std::string& mime) {
  if (mime.starts_with("video/webm")) return "recording.webm";
  if (mime.starts_with("video/mp4")) return "recording.mp4";
  if (mime.starts_with("video/x-matroska")) return "recording.mkv";
  throw wrong_field("mime must be video/webm, video/mp4 or video/x-matroska");
}

// "recording.webm" while it grows.
std::string growing(const std::string& name) { return name + ".part"; }

Refusal no_such_live() { return {404, "no-such-live", "there is no such recording", "it has ended", "begin another"}; }

}  // namespace

struct Lives::Live {
  std::string id;
  std::string visit;
  std::string slot;
  std::string name;
  fs::path folder;
  int file = -1;
  std::uint64_t next = 0;
  std::uint64_t bytes = 0;
  std::atomic<double> last_s = steady_s();
  bool worker_takes = true;
  bool over = false;
  Claims::Claim claim;
  std::mutex mutex;
  Worker worker;
  std::thread thread;

  Live() = default;
  Live(const Live&) = delete;
  Live& operator=(const Live&) = delete;
  ~Live() {
    worker.end_it();
    worker.close_input();
    if (thread.joinable()) thread.join();
    if (file >= 0) ::close(file);
  }
};

Lives::Lives(Desk& desk, Events& events, fs::path program)
    : desk_(desk), events_(events), program_(std::move(program)) {}

Lives::~Lives() = default;

void Lives::follow(Live& live, const std::vector<std::string>& arguments) {
  WorkerOptions options;
  options.program = program_;
  options.arguments = {"live", "-", "--events=lines"};
  options.arguments.insert(options.arguments.end(), arguments.begin(), arguments.end());
  options.folder = live.folder;
  options.feeds = true;
  options.most_silence_s = options.most_s;  // it may wait long for somebody to begin
  options.nice = 0;                         // somebody is waiting for the beep
  options.on_out_line = [this, &live](const std::string& line) {
    const json event = read_json(line);
    if (!event.is_object()) return;
    events_.tell(
        json{{"visit", live.visit}, {"slot", live.slot}, {"what", "live"}, {"live", live.id}, {"event", event}}.dump(
            -1, ' ', false, json::error_handler_t::replace));
  };
  // The process dies with the thread that started it, so it is started in the one that follows it.
  const auto started = std::make_shared<std::promise<Outcome>>();
  std::future<Outcome> answer = started->get_future();
  live.thread = std::thread([this, &live, options, started] {
    const Outcome begun = live.worker.start(options);
    const bool runs = begun.ok();
    started->set_value(begun);
    if (!runs) return;
    WorkerEnd end;
    try {
      end = live.worker.run();
    } catch (const std::exception&) {
      end.status = -1;  // the recording goes on without it
    }
    if (end.status == 0) return;
    const Failure failure = failure_of(end.status, end.last_line);
    events_.tell(json{{"visit", live.visit},
                      {"slot", live.slot},
                      {"what", "live"},
                      {"live", live.id},
                      {"event", {{"event", "failed"}, {"error", failure_json(failure)}}}}
                     .dump(-1, ' ', false, json::error_handler_t::replace));
  });
  if (const Outcome begun = answer.get(); !begun) throw refusal_of(begun.error());
}

std::string Lives::begin(const std::string& visit, const std::string& slot, const std::string& mime,
                         const std::vector<std::string>& arguments) {
  auto live = std::make_shared<Live>();
  live->id = random_id();
  live->visit = visit;
  live->slot = slot;
  live->name = name_for(mime);
  live->folder = desk_.draft(visit).folder_of(slot);
  live->claim = desk_.claims().claim(visit, slot, Place::arrival, Use::live);
  {
    const std::lock_guard lock(mutex_);
    if (lives_.size() >= most_at_once) {
      throw Refusal{409, "too-many-recordings", "too many recordings run", "two at once are taken", "end one of them"};
    }
    lives_[live->id] = live;
  }
  try {
    if (::mkdir(live->folder.c_str(), 0700) != 0 && errno != EEXIST) throw cannot_keep(errno);
    live->file = ::open((live->folder / growing(live->name)).c_str(),
                        O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (live->file < 0) throw cannot_keep(errno);
    follow(*live, arguments);
  } catch (...) {
    find(live->id, true);
    throw;
  }
  return live->id;
}

std::shared_ptr<Lives::Live> Lives::find(const std::string& live, bool take_out) {
  const std::lock_guard lock(mutex_);
  const auto found = lives_.find(live);
  if (found == lives_.end()) throw no_such_live();
  auto held = found->second;
  if (take_out) lives_.erase(found);
  return held;
}

bool Lives::push(const std::string& id, std::uint64_t n, const std::string& bytes, std::uint64_t& wanted) {
  const auto live = find(id, false);
  const std::lock_guard lock(live->mutex);
  if (live->over) throw no_such_live();
  wanted = live->next;
  if (n != live->next) {
    throw Refusal{409, "wrong-piece", "a piece of the recording is missing",
                  "piece " + std::to_string(live->next) + " is wanted and " + std::to_string(n) + " came",
                  "send that one"};
  }
  if (live->bytes + bytes.size() > most_recording_bytes) throw cannot_keep(EFBIG);
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t written =
        ::pwrite(live->file, bytes.data() + done, bytes.size() - done, static_cast<off_t>(live->bytes + done));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) throw cannot_keep(errno);
    done += static_cast<std::size_t>(written);
  }
  live->bytes += bytes.size();
  wanted = ++live->next;
  live->last_s = steady_s();
  // A worker that has ended or hangs takes nothing more; the recording goes on all the same.
  if (live->worker_takes) live->worker_takes = live->worker.write(bytes.data(), bytes.size());
  return live->worker_takes;
}

LiveEnd Lives::end(const std::string& id) {
  const auto live = find(id, true);
  {
    const std::lock_guard lock(live->mutex);  // a piece that is coming in is part of it
    live->over = true;
  }
  live->worker.close_input();
  const double until_s = steady_s() + 20;
  std::thread watch([&] {  // it is given some seconds to say its last
    while (steady_s() < until_s && !live->worker.ended()) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    live->worker.end_it();
  });
  live->thread.join();
  watch.join();
  if (::fsync(live->file) != 0) throw cannot_keep(errno);
  return {live->visit, live->slot, live->folder / growing(live->name), live->name, live->claim};
}

std::vector<std::string> Lives::forgotten(double after_s) {
  const std::lock_guard lock(mutex_);
  std::vector<std::string> found;
  for (const auto& [id, live] : lives_) {
    if (steady_s() - live->last_s > after_s) found.push_back(id);
  }
  return found;
}

std::vector<LiveEnd> left_recordings(const Draft& draft, Claims& claims) {
  std::vector<LiveEnd> found;
  for (const auto& [slot, test] : draft.tests) {
    for (const char* name : {"recording.webm", "recording.mp4", "recording.mkv"}) {
      const fs::path file = draft.folder_of(slot) / growing(name);
      std::error_code ignored;
      if (!fs::exists(file, ignored)) continue;
      found.push_back({draft.id, slot, file, name, claims.claim(draft.id, slot, Place::arrival, Use::live)});
      break;
    }
  }
  return found;
}

void Lives::abandon(const std::string& id) {
  const auto live = find(id, true);
  ::unlink((live->folder / growing(live->name)).c_str());
}

void Lives::abandon_of(const std::string& visit, const std::string& slot) {
  std::vector<std::shared_ptr<Live>> out;
  {
    const std::lock_guard lock(mutex_);
    for (auto one = lives_.begin(); one != lives_.end();) {
      const bool wanted = one->second->visit == visit && (slot.empty() || one->second->slot == slot);
      if (wanted) out.push_back(one->second);
      one = wanted ? lives_.erase(one) : std::next(one);
    }
  }
  for (const auto& live : out) ::unlink((live->folder / growing(live->name)).c_str());
}

}  // namespace risetrace::serve
