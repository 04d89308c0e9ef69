#include "record/clip_store.h"

#include <sys/stat.h>

#include <algorithm>
#include <cerrno>
#include <utility>

#include "record/digest.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

constexpr const char* aside_begin = "aside-";

std::vector<std::string> all_names(const fs::path& folder) {
  std::vector<std::string> names;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(folder, ignored)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

bool is_aside(const std::string& name) { return name.starts_with(aside_begin); }

}  // namespace

Result<Aside> Aside::make(const fs::path& folder) {
  // Between making the file and locking it, another process may take it for a leftover: then once more.
  for (int tries = 0; tries < 20; ++tries) {
    fs::path path = folder / (aside_begin + random_hex(8));
    auto file = PosixFile::make(path);
    if (!file) return file.error();
    const bool locked = file->lock();
    if (locked && fs::exists(path)) return Aside(std::move(path), std::move(*file));
  }
  return Error{Fault::record_busy, folder.string() + ": files made there go away at once", ""};
}

Aside::Aside(Aside&& other) noexcept : path_(std::exchange(other.path_, {})), file_(std::move(other.file_)) {}

Aside& Aside::operator=(Aside&& other) noexcept {
  std::swap(path_, other.path_);
  std::swap(file_, other.file_);
  return *this;
}

Aside::~Aside() {
  std::error_code ignored;
  if (!path_.empty()) fs::remove(path_, ignored);
}

Result<Aside> ClipStore::aside() const {
  if (::mkdir(folder_.c_str(), 0700) != 0 && errno != EEXIST) return write_error(folder_, errno);
  return Aside::make(folder_);
}

Result<StagedClip> ClipStore::stage(const fs::path& clip) const {
  auto from = PosixFile::open(clip, Fault::option_wrong);
  if (!from) return Error{Fault::option_wrong, from.error().why, "give the path of a clip on this machine"};
  auto to = aside();
  if (!to) return to.error();
  Digest digest;
  std::int64_t bytes = 0;
  std::vector<std::uint8_t> buffer(std::size_t{1} << 18);
  while (true) {
    const auto got = from->read(buffer.data(), buffer.size());
    if (!got) return Error{Fault::option_wrong, clip.string() + ": the disk could not be read", "copy the clip again"};
    digest.add(buffer.data(), *got);
    bytes += static_cast<std::int64_t>(*got);
    if (auto written = to->write(buffer.data(), *got); !written) return written.error();
    if (*got < buffer.size()) break;
  }
  if (auto synced = to->sync(); !synced) return synced.error();
  return StagedClip{std::move(*to), digest.finish(), bytes};
}

Outcome ClipStore::place(StagedClip& clip) const {
  std::error_code failed;
  fs::rename(clip.aside.path(), file_of(clip.sha256), failed);
  if (failed) return write_error(file_of(clip.sha256), failed.value());
  clip.aside.keep();
  return Done{};
}

Outcome ClipStore::remove(const std::string& sha256) const {
  std::error_code failed;
  fs::remove(file_of(sha256), failed);
  if (failed) return write_error(file_of(sha256), failed.value());
  return Done{};
}

Outcome ClipStore::sync() const {
  if (!fs::exists(folder_)) return Done{};
  return sync_folder(folder_);
}

std::vector<std::string> ClipStore::names() const {
  auto names = all_names(folder_);
  std::erase_if(names, [](const std::string& name) { return !is_sha256(name); });
  return names;
}

std::vector<std::string> ClipStore::leftovers() const {
  auto names = all_names(folder_);
  std::erase_if(names, [this](const std::string& name) {
    if (!is_aside(name)) return true;
    const auto file = PosixFile::open(folder_ / name, Fault::defect);
    return !file || !file->lock();
  });
  return names;
}

std::vector<std::string> ClipStore::strangers() const {
  auto names = all_names(folder_);
  std::erase_if(names, [](const std::string& name) { return is_sha256(name) || is_aside(name); });
  return names;
}

void ClipStore::sweep() const {
  std::error_code ignored;
  for (const std::string& name : all_names(folder_)) {
    if (!is_aside(name)) continue;
    const auto file = PosixFile::open(folder_ / name, Fault::defect);
    if (file && file->lock()) fs::remove(folder_ / name, ignored);  // under the lock: see Aside::make
  }
}

}  // namespace risetrace::record
