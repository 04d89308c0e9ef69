// A file by its descriptor: read, written to the last byte, brought to the disk.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"

namespace risetrace::record {

// Owns the descriptor.
class PosixFile {
 public:
  // A plain file, for reading. Fault `missing` with path and reason.
  static Result<PosixFile> open(const std::filesystem::path& path, Fault missing);
  // A new file of mode 0600; it must not be there yet. cannot_write.
  static Result<PosixFile> make(const std::filesystem::path& path);

  PosixFile(const PosixFile&) = delete;
  PosixFile& operator=(const PosixFile&) = delete;
  PosixFile(PosixFile&& other) noexcept;
  PosixFile& operator=(PosixFile&& other) noexcept;
  ~PosixFile();

  // Bytes read, less than asked for only at the end; empty on a failure of the disk.
  std::optional<std::size_t> read(std::uint8_t* to, std::size_t count) const;
  // cannot_write, told of `name`.
  Outcome write(const std::uint8_t* from, std::size_t count, const std::filesystem::path& name) const;
  Outcome sync(const std::filesystem::path& name) const;
  [[nodiscard]] std::int64_t seek(std::int64_t offset, int whence) const;  // as lseek(2)
  // Held by one process at a time, until the file is closed. False: another has it.
  [[nodiscard]] bool lock() const;
  [[nodiscard]] std::int64_t size_bytes() const;

 private:
  explicit PosixFile(int descriptor) : descriptor_(descriptor) {}
  int descriptor_ = -1;
};

// What was renamed or removed in it stays so after a loss of power. cannot_write.
Outcome sync_folder(const std::filesystem::path& folder);

// cannot_write for the system's error number: path, reason, and what to do about it.
Error write_error(const std::filesystem::path& path, int number);

}  // namespace risetrace::record
