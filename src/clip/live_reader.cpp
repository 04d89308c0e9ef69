#include "clip/live_reader.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <exception>
#include <functional>
#include <thread>
#include <utility>

#include "base/hand_over.h"
#include "clip/byte_pipe.h"

namespace risetrace::clip {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::size_t most_ready = 8;  // frames; more would only be a longer delay
constexpr int live_threads = 2;        // each beyond the first costs one frame of delay

Error wrong(const std::string& why, const std::string& what_to_do) { return {Fault::option_wrong, why, what_to_do}; }

}  // namespace

struct LiveReader::Inside {
  struct Read {
    Result<std::optional<Frame>> frame;
    ClipFacts facts;  // with the last one
  };

  Inside() = default;
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() {
    stop();
    ready.abandon();
    if (thread.joinable()) thread.join();
  }

  void start() {
    thread = std::thread([this] { read(); });
  }
  void stop() {
    stopped = true;
    if (pipe) pipe->stop();
  }
  void read();
  void read_all();
  void wait_until_due(const Frame& frame);

  std::function<Result<ClipReader>()> open;
  std::shared_ptr<BytePipe> pipe;  // empty of a file
  std::optional<double> speed;     // of a file
  std::optional<Clock::time_point> began;
  std::atomic<bool> stopped = false;
  HandOver<Read> ready;
  ClipFacts facts;  // the caller's alone, as is all below
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

void LiveReader::Inside::read_all() {
  Result<ClipReader> reader = open();
  if (!reader) {
    ready.put({reader.error(), {}}, most_ready + 1);
    return;
  }
  while (true) {
    if (stopped) reader->stop_after(0);
    Read next{reader->next(), {}};
    const bool last = !next.frame || !*next.frame;
    if (last) next.facts = reader->facts();
    if (!last && speed) wait_until_due(**next.frame);
    if (!ready.put(std::move(next), last ? most_ready + 1 : most_ready) || last) return;
  }
}

LiveReader::LiveReader(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
LiveReader::LiveReader(LiveReader&&) noexcept = default;
LiveReader& LiveReader::operator=(LiveReader&&) noexcept = default;
LiveReader::~LiveReader() = default;

namespace {

ReadOptions live(ReadOptions options) {
  if (options.threads == 0) options.threads = live_threads;
  return options;
}

}  // namespace

Result<LiveReader> LiveReader::open_pipe(int descriptor, const std::string& name, const LiveOptions& options) {
  auto inside = std::make_unique<Inside>();
  inside->pipe = std::make_shared<BytePipe>(descriptor);
  if (!options.keep.empty()) {
    if (const Outcome kept = inside->pipe->keep_in(options.keep); !kept) return kept.error();
  }
  inside->open = [pipe = inside->pipe, name, read = live(options.read)] {
    return ClipReader::open_pipe(pipe, name, read);
  };
  inside->start();
  return LiveReader(std::move(inside));
}

Result<LiveReader> LiveReader::open(const std::string& source, const LiveOptions& options) {
  if (source == "-") {
    if (::isatty(STDIN_FILENO) != 0) return wrong("standard input is a keyboard", "send a recording through a pipe");
    const int own = ::fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 3);
    if (own < 0) return Error{Fault::clip_missing, "standard input is closed", ""};
    return open_pipe(own, "standard input", options);
  }
  if (source.starts_with("/dev/video")) {
    return wrong(source + " is a camera, and cameras are not opened here",
                 "send its pictures through a pipe: docs/live.md");
  }
  if (!options.keep.empty()) return wrong("--keep is for a pipe", "leave it out, the file is there");
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
  return Next{Came::end, {}};
}

void LiveReader::stop() { inside_->stop(); }

const ClipFacts& LiveReader::facts() const { return inside_->facts; }

std::optional<Error> LiveReader::keep_error() const {
  return inside_->pipe ? inside_->pipe->keep_error() : std::nullopt;
}

}  // namespace risetrace::clip
