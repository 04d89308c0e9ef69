#include "clip/read_ahead.h"

#include <algorithm>
#include <exception>
#include <thread>
#include <utility>

#include "base/hand_over.h"

namespace risetrace::clip {
namespace {

constexpr std::size_t most_bytes = std::size_t{10} << 20;
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
    ready.abandon();
    thread.join();
  }

  void read();
  void read_all();

  ClipReader reader;  // the thread's alone
  HandOver<Read> ready;
  double share = 0.0;  // the caller's alone, as is all below
  ClipFacts facts;
  std::optional<Error> error;
  bool ended = false;
  std::exception_ptr thrown;  // in the thread, before it closed; thrown again by next()
  std::thread thread;         // last: it uses all the others
};

void ReadAhead::Inside::read() {
  try {
    read_all();
  } catch (...) {
    thrown = std::current_exception();
  }
  ready.close();
}

void ReadAhead::Inside::read_all() {
  while (true) {
    Read next{reader.next(), reader.share_read(), {}};
    const bool last = !next.frame || !*next.frame;
    if (last) next.facts = reader.facts();
    const std::size_t most = last ? most_frames + 1 : frames_held(**next.frame);
    if (!ready.put(std::move(next), most) || last) return;
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
  std::optional<Inside::Read> taken = in.ready.take();  // an end or an error always comes, unless something was thrown
  if (!taken) std::rethrow_exception(in.thrown);
  Inside::Read read = *std::move(taken);
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
