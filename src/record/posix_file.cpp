#include "record/posix_file.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

#include "base/write_all.h"

namespace risetrace::record {

Error write_error(const std::filesystem::path& path, int number) {
  const bool full = number == ENOSPC || number == EDQUOT || number == EFBIG;
  return {Fault::cannot_write, path.string() + ": " + std::generic_category().message(number),
          full ? "free some space on that disk; nothing was changed" : "see to the folder's rights, or choose another"};
}

Result<PosixFile> PosixFile::open(const std::filesystem::path& path, Fault missing) {
  const auto refuse = [&](const std::string& why) { return Error{missing, path.string() + ": " + why, ""}; };
  if (path.string().find('\0') != std::string::npos) return refuse("a path holds no zero byte");
  // Without O_NONBLOCK, opening a pipe would wait for somebody to write to it.
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
  if (descriptor < 0) return refuse(std::generic_category().message(errno));
  PosixFile file(descriptor);
  struct stat facts {};
  if (::fstat(descriptor, &facts) != 0) return refuse(std::generic_category().message(errno));
  if (!S_ISREG(facts.st_mode)) return refuse("it is not a plain file");
  return file;
}

Result<PosixFile> PosixFile::make(const std::filesystem::path& path) {
  const int descriptor = ::open(path.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (descriptor < 0) return write_error(path, errno);
  return PosixFile(descriptor);
}

PosixFile::PosixFile(PosixFile&& other) noexcept : descriptor_(std::exchange(other.descriptor_, -1)) {}

PosixFile& PosixFile::operator=(PosixFile&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

PosixFile::~PosixFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

std::optional<std::size_t> PosixFile::read(std::uint8_t* to, std::size_t count) const {
  std::size_t done = 0;
  while (done < count) {
    const ssize_t got = ::read(descriptor_, to + done, count - done);
    if (got == 0) break;
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return std::nullopt;
    done += static_cast<std::size_t>(got);
  }
  return done;
}

Outcome PosixFile::write(const std::uint8_t* from, std::size_t count, const std::filesystem::path& name) const {
  if (const int wrong = write_all(descriptor_, from, count); wrong != 0) return write_error(name, wrong);
  return Done{};
}

Outcome PosixFile::sync(const std::filesystem::path& name) const {
  if (::fsync(descriptor_) != 0) return write_error(name, errno);
  return Done{};
}

std::int64_t PosixFile::seek(std::int64_t offset, int whence) const { return ::lseek(descriptor_, offset, whence); }

bool PosixFile::lock() const { return ::flock(descriptor_, LOCK_EX | LOCK_NB) == 0; }

std::int64_t PosixFile::size_bytes() const {
  struct stat facts {};
  return ::fstat(descriptor_, &facts) == 0 ? facts.st_size : 0;
}

Outcome sync_folder(const std::filesystem::path& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return write_error(folder, errno);
  const bool good = ::fsync(descriptor) == 0;
  const int number = errno;
  ::close(descriptor);
  if (!good) return write_error(folder, number);
  return Done{};
}

}  // namespace risetrace::record
