#include "clip/live_reader.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <utility>

#include "base/hand_over.h"
#include "clip/byte_pipe.h"
#include "clip/camera_feed.h"
#include "clip/camera_modes.h"

namespace risetrace::clip {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::size_t most_ready = 8;  // frames; more would only be a longer delay
constexpr int live_threads = 2;        // each beyond the first costs one frame of delay

ReadOptions live(ReadOptions options) {
  if (options.threads == 0) options.threads = live_threads;
  return options;
}

Error wrong(const std::string& why, const std::string& what_to_do) { return {Fault::option_wrong, why, what_to_do}; }

}  // namespace

struct LiveReader::Inside {
  struct Read {
    Result<std::optional<Frame>> frame;
    ClipFacts facts;  // with the last one
    std::optional<Note> broken_off;
  };

  Inside() = default;
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() {
    stop();
    if (pipe) pipe->stop();
    ready.abandon();
    if (thread.joinable()) thread.join();
  }

  void start() {
    thread = std::thread([this] { read(); });
  }
  void stop();
  void stop_late_camera();
  void read();
  void read_all();
  void wait_until_due(const Frame& frame);
  Outcome be_fed(int descriptor, const std::string& from, const LiveOptions& options);
  Error why_none(const Error& seen);
  std::optional<Note> why_over();
  std::string last_words();

  std::mutex feed_mutex;     // asked to end by the caller's thread, listened to by the reader's
  std::optional<Feed> feed;  // of a camera
  std::string name;          // of it
  std::function<Result<ClipReader>()> open;
  std::shared_ptr<BytePipe> pipe;  // empty of a file
  std::optional<double> speed;     // of a file
  std::optional<Clock::time_point> began;
  std::atomic<bool> stopped = false;
  Clock::time_point stopped_at;  // of the caller's thread alone
  HandOver<Read> ready;
  ClipFacts facts;  // the caller's alone, as is all below
  std::optional<Note> broken_off;
  std::optional<Error> error;
  bool ended = false;
  std::exception_ptr thrown;  // in the thread, before it closed
  std::thread thread;         // last: it uses all the others
};

void LiveReader::Inside::read() {
  try {
    read_all();
  } catch (...) {
    thrown = std::current_exception();
  }
  ready.close();
}

void LiveReader::Inside::wait_until_due(const Frame& frame) {
  if (!began) began = Clock::now();
  const auto due =
      *began + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(frame.time_s / *speed));
  constexpr auto look_up = std::chrono::milliseconds(20);
  while (!stopped && Clock::now() < due)
    std::this_thread::sleep_for(std::min<Clock::duration>(due - Clock::now(), look_up));
}

// A camera films on until it has ended in order, so that its recording is whole.
void LiveReader::Inside::stop() {
  if (!stopped.exchange(true)) stopped_at = Clock::now();
  if (feed) {
    const std::lock_guard lock(feed_mutex);
    feed->ask_to_end();
  } else if (pipe) {
    pipe->stop();
  }
}

void LiveReader::Inside::stop_late_camera() {
  constexpr auto patience = std::chrono::seconds(3);
  if (feed && stopped && Clock::now() - stopped_at > patience) pipe->stop();
}

// Empty where there is no such program, or it was told to end.
std::string LiveReader::Inside::last_words() {
  if (!feed || stopped) return "";
  const std::lock_guard lock(feed_mutex);
  return feed->last_words();
}

// What the program that opened the camera says is the reason, not what its few bytes look like.
Error LiveReader::Inside::why_none(const Error& seen) {
  const std::string words = last_words();
  if (words.empty()) return seen;
  return {seen.fault, name + " gives no pictures: " + words,
          "close what else uses the camera, such as a call or a page in the browser, and try again"};
}

std::optional<Note> LiveReader::Inside::why_over() {
  if (!feed || stopped) return std::nullopt;
  const std::string words = last_words();
  return Note{"camera-gone",
              name + " stopped by itself" + (words.empty() ? "" : ": " + words) +
                  ". What came until then is measured. Look at its plug.",
              std::nullopt};
}

void LiveReader::Inside::read_all() {
  Result<ClipReader> reader = open();
  if (!reader) {
    ready.put({why_none(reader.error()), {}, {}}, most_ready + 1);
    return;
  }
  while (true) {
    if (stopped && !feed) reader->stop_after(0);
    Read next{reader->next(), {}, {}};
    const bool last = !next.frame || !*next.frame;
    if (last) next.facts = reader->facts();
    if (last && next.frame) next.broken_off = why_over();
    if (!last && speed) wait_until_due(**next.frame);
    if (!ready.put(std::move(next), last ? most_ready + 1 : most_ready) || last) return;
  }
}

Outcome LiveReader::Inside::be_fed(int descriptor, const std::string& from, const LiveOptions& options) {
  name = from;
  pipe = std::make_shared<BytePipe>(descriptor);
  if (!options.keep.empty()) {
    if (Outcome kept = pipe->keep_in(options.keep); !kept) return kept;
  }
  open = [pipe = pipe, from, read = live(options.read)] { return ClipReader::open_pipe(pipe, from, read); };
  return Done{};
}

LiveReader::LiveReader(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
LiveReader::LiveReader(LiveReader&&) noexcept = default;
LiveReader& LiveReader::operator=(LiveReader&&) noexcept = default;
LiveReader::~LiveReader() = default;

Result<LiveReader> LiveReader::open_pipe(int descriptor, const std::string& name, const LiveOptions& options) {
  auto inside = std::make_unique<Inside>();
  if (const Outcome fed = inside->be_fed(descriptor, name, options); !fed) return fed.error();
  inside->start();
  return LiveReader(std::move(inside));
}

Result<LiveReader> LiveReader::open_program(const std::vector<std::string>& command, const std::string& name,
                                            const LiveOptions& options) {
  auto feed = Feed::start(command);
  if (!feed) return feed.error();
  auto inside = std::make_unique<Inside>();
  inside->feed.emplace(*std::move(feed));
  if (const Outcome fed = inside->be_fed(inside->feed->take_output(), name, options); !fed) return fed.error();
  inside->start();
  return LiveReader(std::move(inside));
}

Result<LiveReader> LiveReader::open(const std::string& source, const LiveOptions& options) {
  const bool camera = is_camera(source);
  if ((source == "-" || camera) && options.speed != 1)
    return wrong("--speed is for a file", "leave it out: a camera or a pipe has its own pace");
  if (source == "-") {
    if (::isatty(STDIN_FILENO) != 0) return wrong("standard input is a keyboard", "send a recording through a pipe");
    const int own = ::fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 3);
    if (own < 0) return Error{Fault::clip_missing, "standard input is closed", ""};
    return open_pipe(own, "standard input", options);
  }
  if (camera) {
    const auto modes = modes_of_camera(source);
    if (!modes) return modes.error();
    const auto mode = modes->empty() ? std::nullopt : std::optional(best_mode(*modes));
    return open_program(camera_command(source, mode), source, options);
  }
  if (!options.keep.empty()) return wrong("--keep is for a camera or a pipe", "leave it out, the file is there");
  auto reader = ClipReader::open(source, live(options.read));
  if (!reader) return reader.error();
  auto inside = std::make_unique<Inside>();
  inside->speed = options.speed;
  const auto held = std::make_shared<ClipReader>(*std::move(reader));  // std::function must be copyable
  inside->open = [held]() -> Result<ClipReader> { return std::move(*held); };
  inside->start();
  return LiveReader(std::move(inside));
}

Result<LiveReader::Next> LiveReader::next_within(double seconds) {
  Inside& in = *inside_;
  if (in.error) return *in.error;
  if (in.ended) return Next{Came::end, {}};
  in.stop_late_camera();
  bool waited = false;
  std::optional<Inside::Read> read = in.ready.take_within(std::chrono::duration<double>(seconds), waited);
  if (waited) return Next{};
  if (!read) std::rethrow_exception(in.thrown);  // an end or an error always comes, unless something was thrown
  if (!read->frame) {
    in.error = read->frame.error();
    in.facts = std::move(read->facts);
    return *in.error;
  }
  if (*read->frame) return Next{Came::frame, std::move(*read->frame)};
  in.ended = true;
  in.facts = std::move(read->facts);
  in.broken_off = std::move(read->broken_off);
  return Next{Came::end, {}};
}

void LiveReader::stop() { inside_->stop(); }

const ClipFacts& LiveReader::facts() const { return inside_->facts; }

const std::optional<Note>& LiveReader::broken_off() const { return inside_->broken_off; }

std::optional<Error> LiveReader::keep_error() const {
  return inside_->pipe ? inside_->pipe->keep_error() : std::nullopt;
}

}  // namespace risetrace::clip
