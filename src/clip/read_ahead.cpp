#include "clip/read_ahead.h"

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>

namespace risetrace::clip {
namespace {

constexpr std::size_t most_bytes = std::size_t{16} << 20;
constexpr std::size_t fewest_frames = 2;
constexpr std::size_t most_frames = 12;

std::size_t frames_held(const Frame& frame) {
  const auto pixels = static_cast<std::size_t>(frame.width_px) * static_cast<std::size_t>(frame.height_px);
  const std::size_t bytes = pixels * (frame.bits > 8 ? 2 : 1) * 3 / 2;  // 4:2:0, the usual
  return std::clamp(most_bytes / std::max<std::size_t>(bytes, 1), fewest_frames, most_frames);
}

}  // namespace

struct ReadAhead::Inside {
  struct Read {
    Result<std::optional<Frame>> frame;
    double share = 0.0;
    ClipFacts facts;  // with the last one
  };

  explicit Inside(ClipReader the_reader) : reader(std::move(the_reader)), thread([this] { read(); }) {}
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() {
    {
      const std::lock_guard lock(mutex);
      stop = true;
    }
    room.notify_one();
    thread.join();
  }

  void read();

  ClipReader reader;  // the thread's alone
  mutable std::mutex mutex;
  std::condition_variable room;  // for another frame, or none is wanted any more
  std::condition_variable some;  // frame is ready, or the end
  std::deque<Read> ready;        // under the mutex, as is `stop`
  bool stop = false;
  double share = 0.0;  // the caller's alone, as is all below
  ClipFacts facts;
  std::optional<Error> error;
  bool ended = false;
  std::thread thread;  // last: it uses all the others
};

void ReadAhead::Inside::read() {
  while (true) {
    Read next{reader.next(), reader.share_read(), {}};
    const bool last = !next.frame || !*next.frame;
    if (last) next.facts = reader.facts();
    const std::size_t most = last ? 0 : frames_held(**next.frame);
    std::unique_lock lock(mutex);
    room.wait(lock, [&] { return stop || last || ready.size() < most; });
    if (stop) return;
    ready.push_back(std::move(next));
    lock.unlock();
    some.notify_one();
    if (last) return;
  }
}

ReadAhead::ReadAhead(ClipReader reader) : inside_(std::make_unique<Inside>(std::move(reader))) {}
ReadAhead::ReadAhead(ReadAhead&&) noexcept = default;
ReadAhead& ReadAhead::operator=(ReadAhead&&) noexcept = default;
ReadAhead::~ReadAhead() = default;

Result<std::optional<Frame>> ReadAhead::next() {
  Inside& in = *inside_;
  if (in.error) return *in.error;
  if (in.ended) return std::optional<Frame>{};
  std::unique_lock lock(in.mutex);
  in.some.wait(lock, [&] { return !in.ready.empty(); });
  Inside::Read read = std::move(in.ready.front());
  in.ready.pop_front();
  lock.unlock();
  in.room.notify_one();
  in.share = read.share;
  if (!read.frame) {
    in.error = read.frame.error();
  } else if (!*read.frame) {
    in.ended = true;
  }
  if (in.error || in.ended) in.facts = std::move(read.facts);
  return std::move(read.frame);
}

double ReadAhead::share_read() const { return inside_->share; }

const ClipFacts& ReadAhead::facts() const { return inside_->facts; }

}  // namespace risetrace::clip
