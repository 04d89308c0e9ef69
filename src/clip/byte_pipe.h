// Bytes as they are made: standard input, or whatever else can only be read once and from front to back.
#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"

namespace risetrace::clip {

// Owns a file descriptor. One thread reads; any thread may stop it.
class BytePipe {
 public:
  explicit BytePipe(int descriptor) : descriptor_(descriptor) {}
  BytePipe(const BytePipe&) = delete;
  BytePipe& operator=(const BytePipe&) = delete;
  ~BytePipe();

  // Every byte read from here on is also written to a new file, readable by its owner only. Fault cannot_write, also
  // where there is one of that name.
  Outcome keep_in(const std::string& path);
  // Set once writing failed: what was kept ends there; reading went on.
  [[nodiscard]] const std::optional<Error>& keep_error() const { return keep_error_; }

  // Waits for some. Bytes read; 0 at the end or once stopped; nothing on a failure.
  std::optional<std::int64_t> read(std::uint8_t* to, std::int64_t count);
  // The first bytes, at most 256, without taking them; fewer where the end comes before. Only before the first read().
  std::size_t peek(std::uint8_t* to, std::size_t count);
  void stop() { stopped_ = true; }

 private:
  std::optional<std::int64_t> read_fresh(std::uint8_t* to, std::int64_t count);
  void keep(const std::uint8_t* bytes, std::int64_t count);

  int descriptor_;
  int keep_descriptor_ = -1;
  std::string keep_path_;
  std::optional<Error> keep_error_;
  std::array<std::uint8_t, 256> head_{};
  std::size_t head_bytes_ = 0;
  std::size_t head_taken_ = 0;
  std::atomic<bool> stopped_ = false;
};

}  // namespace risetrace::clip
