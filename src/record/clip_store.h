// The folder of clips: each named by its SHA-256, put there whole or not at all.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "record/posix_file.h"

namespace risetrace::record {

// A file on its way, in the folder under a name of its own; gone with the object unless it was put in place. A process
// that was killed leaves it behind, but not its lock.
class Aside {
 public:
  static Result<Aside> make(const std::filesystem::path& folder);

  Aside(Aside&& other) noexcept;
  Aside& operator=(Aside&& other) noexcept;
  Aside(const Aside&) = delete;
  Aside& operator=(const Aside&) = delete;
  ~Aside();

  Outcome write(const std::uint8_t* from, std::size_t count) { return file_->write(from, count, path_); }
  // As lseek(2): where it stands then, or -1.
  std::int64_t seek(std::int64_t offset, int whence) { return file_->seek(offset, whence); }
  Outcome sync() { return file_->sync(path_); }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  void keep() { path_.clear(); }  // it has another name now

 private:
  Aside(std::filesystem::path path, PosixFile file) : path_(std::move(path)), file_(std::move(file)) {}
  std::filesystem::path path_;
  std::optional<PosixFile> file_;
};

// Copied and on the disk, not yet in place.
struct StagedClip {
  Aside aside;
  std::string sha256;
  std::int64_t bytes = 0;
};

class ClipStore {
 public:
  explicit ClipStore(std::filesystem::path folder) : folder_(std::move(folder)) {}

  [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }
  [[nodiscard]] std::filesystem::path file_of(const std::string& sha256) const { return folder_ / sha256; }

  Result<Aside> aside() const;  // makes the folder (0700) where there is none
  // Fault option_wrong where the clip cannot be read, cannot_write where there is no room.
  Result<StagedClip> stage(const std::filesystem::path& clip) const;
  // Only while the database's write lock is held: it parts this from erasures and from mending.
  Outcome place(StagedClip& clip) const;
  Outcome remove(const std::string& sha256) const;  // as place(); no failure where it is gone already
  Outcome sync() const;

  [[nodiscard]] std::vector<std::string> names() const;      // of whole files
  [[nodiscard]] std::vector<std::string> leftovers() const;  // of files aside that nobody holds
  [[nodiscard]] std::vector<std::string> strangers() const;  // of anything else
  // Removes what leftovers() names.
  void sweep() const;

 private:
  std::filesystem::path folder_;
};

}  // namespace risetrace::record
