#include "clip/byte_pipe.h"

#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <system_error>

#include "base/write_all.h"

namespace risetrace::clip {
namespace {

constexpr int look_up_ms = 50;  // how long a stop may go unseen

Error cannot_keep(const std::string& path, int code) {
  return {Fault::cannot_write, path + ": " + std::generic_category().message(code), "name another file with --keep"};
}

}  // namespace

BytePipe::~BytePipe() {
  if (descriptor_ >= 0) ::close(descriptor_);
  if (keep_descriptor_ >= 0) ::close(keep_descriptor_);
}

Outcome BytePipe::keep_in(const std::string& path) {
  keep_descriptor_ = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (keep_descriptor_ < 0) return cannot_keep(path, errno);
  keep_path_ = path;
  return Done{};
}

void BytePipe::keep(const std::uint8_t* bytes, std::int64_t count) {
  if (keep_descriptor_ < 0) return;
  const int wrong = write_all(keep_descriptor_, bytes, static_cast<std::size_t>(count));
  if (wrong == 0) return;
  keep_error_ = cannot_keep(keep_path_, wrong);
  ::close(keep_descriptor_);
  keep_descriptor_ = -1;
}

std::optional<std::int64_t> BytePipe::read_fresh(std::uint8_t* to, std::int64_t count) {
  while (!stopped_) {
    pollfd wait{descriptor_, POLLIN, 0};
    const int ready = ::poll(&wait, 1, look_up_ms);
    if (ready == 0 || (ready < 0 && errno == EINTR)) continue;
    if (ready < 0) return std::nullopt;
    const ssize_t got = ::read(descriptor_, to, static_cast<std::size_t>(count));
    if (got < 0 && (errno == EINTR || errno == EAGAIN)) continue;
    if (got < 0) return std::nullopt;
    keep(to, got);
    return got;
  }
  return 0;
}

std::optional<std::int64_t> BytePipe::read(std::uint8_t* to, std::int64_t count) {
  if (head_taken_ == head_bytes_) return read_fresh(to, count);
  const std::size_t more = std::min(head_bytes_ - head_taken_, static_cast<std::size_t>(count));
  std::memcpy(to, head_.data() + head_taken_, more);
  head_taken_ += more;
  return static_cast<std::int64_t>(more);
}

std::size_t BytePipe::peek(std::uint8_t* to, std::size_t count) {
  count = std::min(count, head_.size());
  while (head_bytes_ < count) {
    const auto got = read_fresh(head_.data() + head_bytes_, static_cast<std::int64_t>(count - head_bytes_));
    if (!got || *got == 0) break;
    head_bytes_ += static_cast<std::size_t>(*got);
  }
  const std::size_t there = std::min(count, head_bytes_);
  std::memcpy(to, head_.data(), there);
  return there;
}

}  // namespace risetrace::clip
